"""Channels the wrong way round, exchanged, joined or dead: what to look at in the wiring.

Colours of the pins as usual: white left, blue left return, red right, green right return (published values 11,
confirmed by two secondary sources; the standard behind them was not identified).
"""

from __future__ import annotations

from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move, caution_ids

KEY = "wiring"
STEPS = ("move.wiring",)
COLOURS = "Usual colours: white left, blue left return, red right, green right return."
AFTERWARDS = "Then measure again; until then no azimuth is advised."


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """One move for each thing found wrong with the channels."""
    made = []
    plug_in = evidence.deck.arm == "plug-in"
    if evidence.told("inverted"):
        where = "behind the plug-in socket" if plug_in else "at the cartridge"
        made.append(
            _move(
                "two wires of one channel",
                "exchange",
                "one channel is upside down against the other",
                f"exchange signal and return of one channel {where}: the one whose colours are not as usual",
                (COLOURS, AFTERWARDS),
            )
        )
    elif evidence.told("swapped"):
        item = evidence.item("swapped")
        sure = item is not None and bool(item.evidence.get("by_layout"))
        made.append(
            _move(
                "left and right",
                "exchange",
                "left and right have changed places" if sure else "left and right seem to have changed places",
                "exchange the two plugs, or the pairs of wires at the cartridge"
                if sure
                else "compare with the disc's notes, then exchange the plugs or the pairs of wires at the cartridge",
                (COLOURS, AFTERWARDS),
            )
        )
    dead = evidence.item("channel_dead")
    if dead is not None:
        side = f"{dead.channel} channel" if dead.channel else "dead channel"
        made.append(
            _move(
                f"{side}: tag, pin, lead",
                "check",
                f"the {side} gives nothing",
                f"clean and check the {side}'s tag, headshell pins, muting switch and lead, in that order",
                ("Exchange the two channels at the tags: if the fault changes sides, it is the cartridge.", COLOURS),
            )
        )
    mono = evidence.item("mono")
    if mono is not None and mono.severity == "stop":
        made.append(
            _move(
                "mono switch or adaptor",
                "look for",
                "both channels give one and the same sound",
                "look for a mono switch, a mono adaptor or bridged tags, then record again",
                (),
            )
        )
    return tuple(made)


def _move(what: str, direction: str, because: str, words: str, more: tuple[str, ...]) -> Move:
    return Move(
        what=what,
        direction=direction,
        amount=None,
        unit=None,
        because=because,
        cautions=caution_ids(STEPS[0]),
        kind="suspect",
        key=KEY,
        words=words,
        more=more,
    )
