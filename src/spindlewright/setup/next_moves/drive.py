"""Off speed on a deck without a trim, or farther off than a trim reaches: what in the drive makes it so.

Belt: thickness and pulley set the speed, length hardly does; a thinner belt slows the deck, more on the smaller step.
Idler: oil or glaze makes slip, the idler's own diameter does nothing. Direct: the electronics.

Source: trade practice 1.5, 1.6, 4.2 and case 1 (common practice; flat-belt theory, derived).
"""

from __future__ import annotations

from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move, caution_ids
from spindlewright.setup.next_moves.speed_seen import SpeedSeen, speeds_by_setting
from spindlewright.setup.next_moves.speed_trim import REACH_PERCENT, speed_to_correct
from spindlewright.setup.rotating_parts import sizes_at

KEY = "drive"
STEPS = ("move.drive",)
BELT_MM = (0.2, 1.6)
"""Thickness a flat belt can have (common practice, no source)."""
LEAVE_WITHIN_PERCENT = 0.5
"""Discs themselves may be cut within ± 0.5 % of their speed (IEC 60098, confirmed secondary)."""


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Where to look in the drive, or leave it and say so."""
    seen = speed_to_correct(evidence)
    if seen is None:
        return ()
    if evidence.deck.speed_trim != "none" and abs(seen.percent) <= REACH_PERCENT:
        return ()
    drive = evidence.deck.drive
    if drive == "belt":
        return (_belt(evidence, seen),)
    if drive == "idler":
        return (_idler(seen),)
    if drive == "direct":
        return (_direct(seen),)
    return (
        _suspect(seen, "drive", "look at belt, idler and pulley: right size, dry, clean", "no trim is there to turn"),
    )


def wanted_thickness_mm(percent: float, hub_mm: float, pulley_mm: float, thickness_mm: float) -> float:
    """Thickness of the belt that would take away a deviation of ``percent`` (flat-belt theory, derived).

    >>> round(wanted_thickness_mm(-2.236, 160.0, 13.5, 0.45), 2)
    0.8
    """
    wanted = (pulley_mm + thickness_mm) / (hub_mm + thickness_mm) / (1.0 + percent / 100.0)
    return (wanted * hub_mm - pulley_mm) / (1.0 - wanted)


def _belt(evidence: Evidence, seen: SpeedSeen) -> Move:
    sizes = sizes_at(evidence.deck.dimensions, seen.nominal_rpm)
    thicker = "thicker" if seen.percent < 0.0 else "thinner"
    small_step = _more_on_the_small_step(evidence)
    if {"hub_mm", "pulley_mm", "belt_thickness_mm"} <= sizes.keys():
        now = sizes["belt_thickness_mm"]
        wanted = wanted_thickness_mm(seen.percent, sizes["hub_mm"], sizes["pulley_mm"], now)
        if BELT_MM[0] <= wanted <= BELT_MM[1]:
            amount = round(wanted, 2)
            because = (
                f"by the sizes of hub and pulley a belt of {now:.2f} mm gives this speed, one of {amount:.2f} mm the "
                "right one"
            )
            return Move(
                what="belt",
                direction=thicker,
                amount=amount,
                unit="mm",
                because=because + ("; it is more on the small step, too" if small_step else ""),
                cautions=caution_ids(STEPS[0]),
                kind="suspect",
                key=KEY,
                words=f"measure the belt's thickness and fit one of {amount:.2f} mm",
                quantity=seen.reading.quantity,
                more=("First see that it does not slip: chalk across belt and hub must stay together.",),
            )
    because = (
        "it is more on the small step, so the belt's thickness is wrong"
        if small_step
        else ("with a belt, thickness and pulley set the speed; length hardly does")
    )
    words = (
        f"see that belt, hub and pulley are dry and clean and nothing slips, then try a {thicker} belt"
        if seen.percent < 0.0
        else "see that the belt runs in the middle of the pulley and is not too tight, then try a thinner belt"
    )
    more = ("Read it with and without a dust brush on the disc: what gets slower with the brush slips.",)
    return _suspect(seen, "belt", words, because, thicker, more)


def _more_on_the_small_step(evidence: Evidence) -> bool:
    """Whether two speeds were read and the slower, on the small step of the pulley, is off by clearly more."""
    both = list(speeds_by_setting(evidence).values())
    if len(both) < 2:
        return False
    slow, fast = both[0], both[-1]
    apart = abs(slow.percent) - abs(fast.percent)
    return slow.percent * fast.percent > 0.0 and apart > slow.uncertainty_percent + fast.uncertainty_percent


def _idler(seen: SpeedSeen) -> Move:
    if seen.percent < 0.0:
        words = (
            "clean idler, motor step and rim, all three free of oil, and see that the idler presses and turns freely"
        )
        because = "an idler deck that runs slow slips, or its motor or bearing drags"
        more = ("The idler's own diameter does not change the speed.",)
        return _suspect(seen, "idler", words, because, "clean and dry", more)
    words = "see that the idler runs on the right step of the motor and at the right height"
    return _suspect(seen, "idler", words, "only the step of the motor makes an idler deck fast")


def _direct(seen: SpeedSeen) -> Move:
    if abs(seen.percent) <= LEAVE_WITHIN_PERCENT:
        return Move(
            what="speed",
            direction="as it is",
            amount=None,
            unit=None,
            because="this deck has no trim, and discs themselves may be cut within ±0.5 %",
            cautions=(),
            kind="leave",
            key=KEY,
            words="leave it, and say so on the sheet",
            quantity=seen.reading.quantity,
        )
    words = "look at supply, speed switch and the feedback of the motor"
    return _suspect(seen, "electronics", words, "a direct drive without a trim is set by its electronics alone")


def _suspect(
    seen: SpeedSeen, what: str, words: str, because: str, direction: str = "check", more: tuple[str, ...] = ()
) -> Move:
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
        quantity=seen.reading.quantity,
        more=more,
    )
