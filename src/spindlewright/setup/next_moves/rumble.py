"""Rumble outside its limit: bearing when it is mainly vertical, the mains lines when those carry it, else the drive.

Bearing and drive noise is mostly vertical (difference of the channels); a pressing can rumble more than a good deck
(trade practice 1.8, 4.4; common practice and one encyclopaedia). Suspicions only.
"""

from __future__ import annotations

from spindlewright.readings.reading import Reading
from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move, caution_ids

KEY = "rumble"
STEPS = ("move.rumble",)
QUANTITIES = ("rumble_unweighted", "rumble_weighted")
MAINLY_VERTICAL_DB = 2.0
CARRIED_BY_LINES_DB = 3.0


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """One suspicion, from the loudest rumble reading that is outside its limit."""
    for quantity in QUANTITIES:
        outside = [reading for reading in evidence.all(quantity) if reading.verdict == "outside"]
        if outside:
            return (_suspicion(evidence, max(outside, key=lambda reading: reading.value)),)
    return ()


def _suspicion(evidence: Evidence, loudest: Reading) -> Move:
    without = loudest.conditions.get("without_mains_lines_db")
    vertical, lateral = (evidence.main(loudest.quantity, which) for which in ("vertical", "lateral"))
    more = ("Play another disc too: a pressing can rumble more than a good deck.",)
    if without is not None and loudest.value - float(without) > CARRIED_BY_LINES_DB:
        because, words = "lines of the mains carry most of it", "cure the hum or the motor's vibration first"
    elif vertical is not None and lateral is not None and vertical.value - lateral.value > MAINLY_VERTICAL_DB:
        because = "it is mainly vertical, as the noise of bearing and drive is"
        words = "look at the main bearing: clean it, its ball and its well, oil it, and listen again"
    else:
        because = "it is no more vertical than lateral, so the motor and its mounts are as likely as the bearing"
        words = "record with the motor off as the platter runs down: what is left is the bearing's"
    return Move(
        what="main bearing and drive",
        direction="check",
        amount=None,
        unit=None,
        because=because,
        cautions=caution_ids(STEPS[0]),
        kind="suspect",
        key=KEY,
        words=words,
        quantity=loudest.quantity,
        channel=loudest.channel,
        more=more,
    )
