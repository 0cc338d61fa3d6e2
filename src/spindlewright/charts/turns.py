"""The deviation by platter angle, cut into turns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spindlewright.charts.chart import JsonObject
from spindlewright.charts.stored import curve_named, points_of

ANGLE_WORDS = "angle of the platter from the start of the band, °"
ANGLE_IN_SHORT = "angle of the platter, °"


@dataclass(frozen=True, slots=True)
class Turns:
    """``percent[turn, angle]`` in %, NaN where nothing was measured; ``angle_deg`` the middles of the angle steps."""

    angle_deg: np.ndarray
    percent: np.ndarray

    @property
    def number(self) -> int:
        """How many turns there are."""
        return int(self.percent.shape[0])

    @property
    def mean(self) -> np.ndarray:
        """Mean of all turns at each angle: what repeats each turn."""
        return np.nanmean(self.percent, axis=0)  # type: ignore[no-any-return]

    @property
    def share_that_repeats(self) -> float:
        """Power of what repeats over the whole power, 0 to 1; what the mean owes to the rest is taken off."""
        whole = float(np.nanmean(self.percent**2))
        rest = float(np.nanmean((self.percent - self.mean) ** 2))
        if whole == 0.0:
            return 0.0
        unbiased = rest * self.number / max(1, self.number - 1)
        return float(np.clip(1.0 - unbiased / whole, 0.0, 1.0))


def turns_of(measurement: JsonObject, band: int | None = None) -> Turns | None:
    """Whole turns only, the first and the last with gaps left out; None with fewer than two.

    >>> step = 90.0
    >>> angle = [45.0 + step * i for i in range(9)]
    >>> curve = {"x": angle, "y": [0.1, 0.2, 0.3, 0.4] * 2 + [0.1], "band": 0}
    >>> turns_of({"curves": {"deviation_by_angle": curve}}).percent.shape
    (2, 4)
    """
    curve = curve_named(measurement, "deviation_by_angle", band)
    if curve is None:
        return None
    angle, percent = points_of(curve)
    step = float(np.median(np.diff(angle)))
    steps = max(1, round(360.0 / step))
    slot = np.floor(angle / step + 1e-6).astype(int)
    table = np.full((int(slot[-1]) // steps + 1, steps), np.nan)
    table[slot // steps, slot % steps] = percent
    held = np.mean(np.isfinite(table), axis=1)
    whole = table[held > 0.9]
    if len(whole) < 2 or not np.all(np.isfinite(whole).any(axis=0)):
        return None
    return Turns((np.arange(steps) + 0.5) * step, whole)
