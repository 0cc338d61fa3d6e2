"""One channel louder than the other: contacts first, the cartridge next, never the azimuth.

A lean of 5° costs a channel 0.03 dB in its own band, so no roll explains a decibel (published values 13, derived). Up
to 2 dB may be the cartridge's own by its specification; over 3 dB look for a contact (trade practice 4.5).
"""

from __future__ import annotations

from spindlewright.setup.next_moves.evidence import Evidence, shows, verdict_of
from spindlewright.setup.next_moves.move import Move, caution_ids

KEY = "balance"
STEPS = ("move.balance",)
OWN_DB = 2.0
CONTACT_DB = 3.0


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Contacts over 3 dB, exchange the tags over 2 dB (or the limit), nothing below."""
    reading = evidence.main("channel_balance")
    if reading is None or not shows(reading) or evidence.told("channel_dead"):
        return ()
    if verdict_of(reading, -OWN_DB, OWN_DB) != "outside":
        return ()
    weak = "right" if reading.value > 0.0 else "left"
    contact = abs(reading.value) - reading.uncertainty > CONTACT_DB
    if contact:
        because = f"so much is more than a cartridge differs by; the {weak} channel loses level on its way"
        words = f"clean and check the {weak} channel's tag, headshell pins, muting switch and lead, in that order"
    else:
        because = "that can be the cartridge's own difference, or a contact"
        words = "exchange the two channels at the tags once: if the weak side changes over, it is the cartridge"
    more = ["The azimuth does not make this difference: leave it as it is."]
    if contact:
        more.insert(0, "Exchange the channels at the tags once: if the weak side changes over, it is the cartridge.")
    if evidence.deck.arm == "plug-in":
        more.insert(0, "With a plug-in cartridge try another one instead of exchanging tags.")
    return (
        Move(
            what=f"{weak} channel: contacts" if contact else "tags",
            direction="clean and check" if contact else "exchange once",
            amount=None,
            unit=None,
            because=because,
            cautions=caution_ids(STEPS[0]),
            kind="suspect",
            key=KEY,
            words=words,
            quantity=reading.quantity,
            more=tuple(more),
        ),
    )
