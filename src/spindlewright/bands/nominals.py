"""What the tones of a side were cut at: nominals chosen for all tones together.

A disc turns at one speed for all its bands, so the set of nominals is the one with one common speed error (within
0.3 %) and the smallest error. Candidates are the preferred numbers 20 Hz to 20 kHz (ISO 266 thirds of an octave,
from memory) and frequencies usual on test discs (common practice, no source).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

COMMON_SPREAD = 0.003
LARGEST_ERROR = 0.06
THIRDS = tuple(
    round(step * 10**decade, 1)
    for decade in range(1, 5)
    for step in (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)
    if 20 <= step * 10**decade <= 20000
)
USUAL = (100.0, 300.0, 315.0, 400.0, 1000.0, 3000.0, 3150.0, 6300.0, 10000.0)
RARER = (30.0, 60.0, 70.0, 150.0, 600.0, 700.0, 1500.0, 6000.0, 7000.0, 9000.0, 10800.0, 12000.0, 14000.0)
RAREST = (120.0, 900.0, 11000.0, 13000.0, 15000.0, 17000.0, 18000.0, 19000.0)
PRIOR: dict[float, float] = {
    **dict.fromkeys(RAREST, 0.9),
    **dict.fromkeys(RARER, 0.6),
    **dict.fromkeys(THIRDS, 0.3),
    31.5: 0.3,
    **dict.fromkeys(USUAL, 0.0),
}
"""What choosing a nominal costs, in the same measure as ``PER_PERCENT``: 0 for the commonest."""
_CANDIDATES = sorted(PRIOR)
PER_PERCENT = 0.5
NO_NOMINAL = 6.0
WRONG_SPEED = 3.5
WRONG_PULLEY = 2.8
"""Less than the wrong speed, because the remaining error must be small as well."""
LONE_TONE = 3.0
"""A side with one frequency is a speed test: rare nominals are so much rarer there."""
SPEEDS_RPM = (100.0 / 3.0, 45.0, 3600.0 / 46.0)
OTHER_MAINS_HZ = ((60.0, 50.0), (50.0, 60.0))
"""Mains that a synchronous motor's pulley may be made for, and the mains it runs on instead (trade practice: exactly
5/6 of the speed, or 6/5)."""
LARGEST_PULLEY_ERROR = 0.03
"""A synchronous motor keeps the mains' pace, so little else can be wrong besides (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class SpeedsTurned:
    """The speed a disc was cut for and the one the deck was set to, in rpm.

    ``pulley_for_hz`` and ``mains_hz`` are given where the deck is set right but seems to have the pulley of the
    other mains.
    """

    cut_rpm: float
    played_rpm: float
    pulley_for_hz: float | None = None
    mains_hz: float | None = None

    @property
    def ratio(self) -> float:
        return self.played_rpm / self.cut_rpm

    @property
    def largest_error(self) -> float:
        """How far the speed may be off besides, as a share."""
        return LARGEST_ERROR if self.pulley_for_hz is None else LARGEST_PULLEY_ERROR


def speeds_turned(rpm: float) -> list[SpeedsTurned]:
    """As stated; the deck set to another speed; a disc of another speed on a deck set to the stated one; the pulley
    of the other mains."""
    others = [s for s in SPEEDS_RPM if abs(s / rpm - 1.0) > 0.1]
    return [
        SpeedsTurned(rpm, rpm),
        *(SpeedsTurned(rpm, played) for played in others),
        *(SpeedsTurned(cut, rpm) for cut in others),
        *(SpeedsTurned(rpm, rpm * mains / made_for, made_for, mains) for made_for, mains in OTHER_MAINS_HZ),
    ]


@dataclass(frozen=True, slots=True)
class Nominals:
    """``nominal_hz`` in the order of the tones, None where no candidate fits the common speed.

    ``speed_ratio`` is what the tones were found at over their nominals, weighted by duration; ``doubt`` the other
    pair of candidates of a lone 3000 or 3150 Hz tone, else None; ``turned`` the disc's and the deck's speed, which
    differ when the tones only fit a wrong speed switch.
    """

    nominal_hz: tuple[float | None, ...]
    speed_ratio: float
    doubt: tuple[float, ...] | None
    turned: SpeedsTurned


def choose_nominals(found_hz: Sequence[float], durations_s: Sequence[float], rpm: float = SPEEDS_RPM[0]) -> Nominals:
    """Nominals of all tones of a side cut for ``rpm``.

    >>> choose_nominals([1047.0, 3298.1], [30.0, 60.0]).nominal_hz
    (1000.0, 3150.0)
    """
    if not found_hz:
        return Nominals((), 1.0, None, SpeedsTurned(rpm, rpm))
    distinct, which = _distinct(found_hz)
    best: tuple[float, float, list[float | None], SpeedsTurned] | None = None
    for turned in speeds_turned(rpm):
        penalty = 0.0 if turned.ratio == 1.0 else WRONG_SPEED if turned.pulley_for_hz is None else WRONG_PULLEY
        for ratio in _speed_ratios(distinct, turned):
            cost, of_distinct = _fit(distinct, ratio)
            cost += penalty + PER_PERCENT * 100.0 * abs(ratio / turned.ratio - 1.0)
            if best is None or cost < best[0] - 1e-9:
                best = (cost, ratio, of_distinct, turned)
    assert best is not None
    _, ratio, of_distinct, turned = best
    chosen = [of_distinct[i] for i in which]
    pairs = [(f / n, d) for f, n, d in zip(found_hz, chosen, durations_s, strict=True) if n is not None and d > 0]
    weight = sum(d for _, d in pairs)
    mean = sum(r * d for r, d in pairs) / weight if weight else ratio
    return Nominals(tuple(chosen), mean, _doubt(chosen), turned)


def nominal_at(found_hz: float, speed_ratio: float) -> float | None:
    """The candidate that a tone is at a known speed, None when none is within 0.3 %."""
    at_speed = found_hz / speed_ratio
    place = bisect_left(_CANDIDATES, at_speed)
    near = [n for n in _CANDIDATES[max(0, place - 1) : place + 1] if abs(at_speed / n - 1.0) <= COMMON_SPREAD]
    return min(near, key=lambda n: abs(at_speed / n - 1.0)) if near else None


def _speed_ratios(found_hz: Sequence[float], turned: SpeedsTurned) -> list[float]:
    """Every speed at which some tone is exactly some candidate, within the largest error; and no error at all."""
    base = turned.ratio
    ratios = {
        found / nominal
        for found in found_hz
        for nominal in PRIOR
        if abs(found / nominal / base - 1.0) <= turned.largest_error + 0.002
    }
    return [base, *sorted(ratios)]


def _fit(found_hz: Sequence[float], ratio: float) -> tuple[float, list[float | None]]:
    """Cost of one common speed and the nominals at it."""
    chosen = [nominal_at(found, ratio) for found in found_hz]
    named = [(found, nominal) for found, nominal in zip(found_hz, chosen, strict=True) if nominal is not None]
    cost = NO_NOMINAL * (len(chosen) - len(named))
    cost += sum(20.0 * abs(found / ratio / nominal - 1.0) for found, nominal in named)
    rareness = sum(PRIOR[nominal] for _, nominal in named)
    return cost + rareness * (LONE_TONE if len(chosen) == 1 else 1.0), chosen


def _distinct(found_hz: Sequence[float]) -> tuple[list[float], list[int]]:
    """Frequencies that differ by more than 0.3 %, and which of them each tone is."""
    distinct: list[float] = []
    which = []
    for found in found_hz:
        same = [i for i, other in enumerate(distinct) if abs(found / other - 1.0) < COMMON_SPREAD]
        if not same:
            distinct.append(found)
        which.append(same[0] if same else len(distinct) - 1)
    return distinct, which


def _doubt(chosen: Sequence[float | None]) -> tuple[float, ...] | None:
    """With nothing but one 3000 or 3150 Hz tone either may be meant."""
    named = {n for n in chosen if n is not None}
    if len(named) == 1 and named <= {3000.0, 3150.0}:
        return (3000.0, 3150.0)
    return None
