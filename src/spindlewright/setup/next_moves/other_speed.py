"""A deck that turns at another of its speeds: 45 for 33⅓, 33⅓ for 45, 78 for either. Nothing is to be adjusted.

Known from the ratio of the speeds (45 over 33⅓ is 1.35), or from the fitness code ``wrong_speed``.
"""

from __future__ import annotations

from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move
from spindlewright.setup.next_moves.speed_seen import speed_seen

KEY = "other_speed"
STEPS = ()
NEAR_PERCENT = 3.0
SPEEDS_RPM = (50.0 / 3.0, 100.0 / 3.0, 45.0, 3600.0 / 46.0)
_NAMES = {16: "16⅔", 33: "33⅓", 45: "45", 78: "78"}


def other_speed(evidence: Evidence) -> tuple[float, float] | None:
    """(wanted, found) nominal speeds in rpm when the deck turns at another one of the usual speeds; else None."""
    item = evidence.item("wrong_speed")
    if item is not None and item.severity == "stop":
        wanted, found = item.evidence.get("cut_rpm"), item.evidence.get("played_rpm")
        if wanted and found:
            return float(wanted), float(found)
    seen = speed_seen(evidence)
    if seen is None or seen.rpm is None or seen.nominal_rpm is None:
        return None
    for speed in SPEEDS_RPM:
        if abs(speed / seen.nominal_rpm - 1.0) > 0.1 and 100.0 * abs(seen.rpm / speed - 1.0) <= NEAR_PERCENT:
            return seen.nominal_rpm, speed
    return None


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Look at the speed lever and at the disc; then measure again."""
    pair = other_speed(evidence)
    if pair is None:
        return ()
    wanted, found = (_named(rpm) for rpm in pair)
    return (
        Move(
            what="speed lever",
            direction=f"from {found} to {wanted}",
            amount=None,
            unit=None,
            because=f"the deck turns at {found} rpm where {wanted} is meant",
            cautions=(),
            kind="repeat",
            key=KEY,
            words=f"set the deck to {wanted} rpm and measure again, or say which speed the disc was cut for",
            more=("If the lever already stands there, look whether it moves belt, idler or switch all the way.",),
        ),
    )


def _named(rpm: float) -> str:
    return _NAMES.get(int(rpm), f"{rpm:.4g}")
