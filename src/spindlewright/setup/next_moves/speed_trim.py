"""Off speed on a deck that has a trim: turn it a little the right way, and measure again.

How much a turn of the screw does is not known before the first try, so the amount is given in percent of speed, not
in turns. Set warm and with the stylus in the groove (trade practice 1.6, common practice and one maker's manual).
"""

from __future__ import annotations

from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move, caution_ids
from spindlewright.setup.next_moves.other_mains_pulley import other_mains
from spindlewright.setup.next_moves.other_speed import other_speed
from spindlewright.setup.next_moves.recordings_to_repeat import nominal_in_doubt
from spindlewright.setup.next_moves.speed_seen import SpeedSeen, speed_seen, speeds_by_setting
from spindlewright.wording import figures

KEY = "speed_trim"
STEPS = ("move.speed_trim",)
REACH_PERCENT = 8.0
"""Farther off than this no trim is meant to reach (common practice, no source)."""
_WHERE = {
    "per_speed": "trim screw of this speed",
    "shared": "trim screw",
    "inside_motor": "trim screw inside the motor",
    "unknown": "speed trim, if there is one",
}


def speed_to_correct(evidence: Evidence) -> SpeedSeen | None:
    """A speed that is off and that hand or part can bring back; None when something else comes first."""
    seen = speed_seen(evidence)
    if seen is None or not seen.is_off or nominal_in_doubt(evidence):
        return None
    return None if other_mains(evidence) or other_speed(evidence) else seen


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Turn the trim towards the right speed, where there is one."""
    seen = speed_to_correct(evidence)
    trim = evidence.deck.speed_trim
    if seen is None or trim == "none" or abs(seen.percent) > REACH_PERCENT:
        return ()
    screw = _WHERE[trim]
    amount = round(abs(seen.percent), 2)
    more = [
        f"It wants about {figures(amount, 1 if amount >= 1.0 else 2)} %; set it warm, with the stylus in the groove."
    ]
    if trim == "shared":
        more.append("It moves every speed: measure the others afterwards.")
    if trim == "inside_motor":
        more.append(
            "Reach it through the hole in the motor's can with an insulated screwdriver, power off between turns."
        )
    if trim == "unknown":
        more.append("Say on the deck's page what it has, and the next advice will be to the point.")
    return (
        Move(
            what=screw,
            direction=seen.direction,
            amount=amount,
            unit="%",
            because=_because(evidence, seen),
            cautions=caution_ids(STEPS[0]),
            kind="adjust" if trim != "unknown" else "suspect",
            key=KEY,
            words=f"turn the {screw} {seen.direction} by a little and measure again"
            if trim != "unknown"
            else f"turn the {screw}, {seen.direction} by a little and measure again",
            quantity=seen.reading.quantity,
            more=tuple(more),
        ),
    )


def _because(evidence: Evidence, seen: SpeedSeen) -> str:
    others = [one for one in speeds_by_setting(evidence).values() if one.nominal_rpm != seen.nominal_rpm]
    for other in others:
        apart = abs(other.percent - seen.percent)
        if apart <= other.uncertainty_percent + seen.uncertainty_percent and other.is_off:
            return "it is off alike at both speeds, so what they share is off"
        if not other.is_off:
            return "only this speed is off, so its own trim or step is meant"
    return (
        "that is outside what is wanted"
        if seen.verdict == "outside"
        else "that is more than the reading can be wrong by"
    )
