"""Clicks: how often something short and loud stands out of the groove.

Impulses more than 20 dB over the rms of the 50 ms round them, the band's own tone taken out; what follows within
5 ms is the same click, and a click in both channels is one. Counted over all silent and tone bands of the side
together. Clicks come at random, so the uncertainty is that of a Poisson count; impulses that keep step with the
mains are buzz, and are left out.

Source: definition of the readings contract; limits of a Poisson mean from chi-square quantiles (textbook; derived).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.standards.jcgm_101_2008 import Contribution

MANY_PER_MINUTE = 120.0
"""Twice the rate up to which the accuracy of the other readings is proved. Each click takes about 10 ms out of a
reading, so from here on more than 2 % of the time is bridged (own choice, common practice, no source)."""
_SOURCE = "readings contract; Poisson limits (derived)"


MAINS_PERIODS_S = (1.0 / 100.0, 1.0 / 50.0, 1.0 / 120.0, 1.0 / 60.0)
MAINS_SPACING_S = 0.0005
"""Impulses this near to a mains period (or half of one) apart are the pulses of mains buzz when most are so."""


@dataclass(frozen=True, slots=True)
class ClickCount:
    """Clicks of one band, the pulses of mains buzz left out of them, and the time listened."""

    clicks: int
    mains_pulses: int
    seconds: float


class ClickState:
    """Counts the clicks of one band."""

    def __init__(self, rate_hz: float) -> None:
        self._rate = rate_hz
        self._last = -(10**12)
        self._impulses = 0
        self._mains_spaced = 0
        self._frames = 0

    def feed(self, block: np.ndarray) -> None:
        """Take int64 (k, 2) of the impulse view."""
        self._frames = int(block[-1, 0])
        first = block[:-1, 0]
        if len(first) == 0:
            return
        apart_s = np.diff(first, prepend=self._last) / self._rate
        near = np.abs(apart_s[:, None] - np.array(MAINS_PERIODS_S)) < MAINS_SPACING_S
        self._impulses += len(first)
        self._mains_spaced += int(np.count_nonzero(near.any(axis=1)))
        self._last = int(first[-1])

    def observe(self) -> ClickCount | None:
        """The count so far; None before a second."""
        seconds = self._frames / self._rate
        if seconds < 1.0:
            return None
        pulses = self._mains_spaced + 1 if 2 * self._mains_spaced > self._impulses else 0
        return ClickCount(self._impulses - pulses, pulses, seconds)


def poisson_limits(count: int, probability: float = 0.95) -> tuple[float, float]:
    """Equal-tailed limits of the mean behind a Poisson count.

    >>> [round(limit, 3) for limit in poisson_limits(0)]
    [0.0, 3.689]
    >>> [round(limit, 3) for limit in poisson_limits(10)]
    [4.795, 18.39]
    """
    tail = 0.5 * (1.0 - probability)
    low = float(special.gammaincinv(count, tail)) if count > 0 else 0.0
    return low, float(special.gammaincinv(count + 1, 1.0 - tail))


class Clicks:
    """``clicks_per_minute`` of the side, and the fitness item ``many_ticks``."""

    name = "clicks"
    version = 1
    view: View = "impulses"
    quantities = (
        Quantity(
            "clicks_per_minute",
            "1/min",
            "impulses more than 20 dB over the rms of the 50 ms round them, tone removed, nearer than 5 ms counted "
            "as one, over all silent and tone bands together",
            _SOURCE,
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        return band.kind == "silence" or band.kind in TONE_KINDS

    def start(self, stretch: Stretch, side: Side) -> ClickState:
        return ClickState(stretch.rate_hz)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        counts: dict[int, ClickCount] = {o.band.index: o.data for o in observations}
        minutes = sum(c.seconds for c in counts.values()) / 60.0
        if minutes <= 0.0:
            return Outcome()
        clicks = sum(c.clicks for c in counts.values())
        low, high = (limit / minutes for limit in poisson_limits(clicks))
        value = clicks / minutes
        half_width = max(high - value, value - low)
        bands = sorted(counts)
        reading = Reading(
            "clicks_per_minute",
            value,
            "1/min",
            half_width,
            (Contribution("counting", half_width / 1.959964),),
            "impulse count over all silent and tone bands; interval: the wider side of the Poisson limits",
            _SOURCE,
            band=bands[0] if len(bands) == 1 else None,
            method_version=self.version,
            conditions={
                "bands": bands,
                "clicks": clicks,
                "duration_s": 60.0 * minutes,
                "interval": [low, high],
                "per_band": [
                    {
                        "band": index,
                        "clicks": counts[index].clicks,
                        "mains_pulses_left_out": counts[index].mains_pulses,
                        "duration_s": counts[index].seconds,
                    }
                    for index in bands
                ],
                "main": True,
            },
        )
        return Outcome((reading,), fitness=_many(value, counts))


def _many(per_minute: float, counts: Mapping[int, ClickCount]) -> tuple[FitnessItem, ...]:
    if per_minute <= MANY_PER_MINUTE:
        return ()
    worst = max(counts, key=lambda index: counts[index].clicks / counts[index].seconds)
    return (
        FitnessItem(
            "many_ticks",
            "warn",
            f"{per_minute:.0f} clicks a minute; up to {MANY_PER_MINUTE:.0f} are allowed before readings suffer. "
            "Clean the disc and the stylus, then record again.",
            evidence={"clicks_per_minute": per_minute, "worst_band": worst},
        ),
    )
