"""Lines of a deviation spectrum and the turning part whose rate each one has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from spindlewright.charts.chart import JsonObject
from spindlewright.charts.stored import conditions_of


@dataclass(frozen=True, slots=True)
class SpectrumLine:
    """One line: its rate (Hz), its peak (%), and the part with that rate, ``×2`` for its multiple; empty if none."""

    frequency_hz: float
    peak_percent: float
    part: str = ""


def spectrum_lines(
    frequency_hz: np.ndarray,
    peak_percent: np.ndarray,
    once: JsonObject | None,
    rates: Mapping[str, Sequence[float]],
    most: int = 6,
) -> tuple[SpectrumLine, ...]:
    """The largest lines, largest first, each with its part.

    Those told apart by the once-per-turn reading come from there (finer than the spectrum); the others are peaks of
    the curve that stand four times above the median of their surroundings. Lines below a fiftieth of the largest are
    left out.
    """
    step = float(frequency_hz[1] - frequency_hz[0])
    lines = [SpectrumLine(f, p) for f, p in lines_of_the_reading(once)]
    for place in _peaks(peak_percent, step):
        here = float(frequency_hz[place])
        if all(abs(here - line.frequency_hz) > 2.5 * step for line in lines):
            lines.append(SpectrumLine(here, float(peak_percent[place])))
    lines.sort(key=lambda line: -line.peak_percent)
    large = [line for line in lines if line.peak_percent >= 0.02 * lines[0].peak_percent][:most] if lines else []
    return tuple(
        SpectrumLine(line.frequency_hz, line.peak_percent, part_at(line.frequency_hz, rates, step)) for line in large
    )


def part_at(frequency_hz: float, rates: Mapping[str, Sequence[float]], step_hz: float) -> str:
    """Name of the part with this rate, within 1 % or half a step of the spectrum (a quarter for multiples).

    >>> part_at(5.01, {"platter": (0.556,), "idler": (2.5, 5.0)}, 0.06)
    'idler ×2'
    """
    best = ("", float("inf"))
    for name, several in rates.items():
        for order, rate in enumerate(several, 1):
            away = abs(frequency_hz - rate)
            if away <= max(0.01 * rate, 0.5 * step_hz if order == 1 else 0.25 * step_hz) and away < best[1]:
                best = (name if order == 1 else f"{name} ×{order}", away)
    return best[0]


def lines_of_the_reading(once: JsonObject | None) -> list[tuple[float, float]]:
    """Rate (Hz) and peak (%) of the lines that the once-per-turn reading told apart."""
    if once is None:
        return []
    seen = conditions_of(once)
    found = [(float(o["frequency_hz"]), float(o["peak_percent"])) for o in seen.get("other_lines") or ()]
    if seen.get("rate_hz") is not None and not seen.get("below_noise"):
        found.append((float(seen["rate_hz"]), float(once["value"])))
    return found


def _peaks(size: np.ndarray, step_hz: float) -> list[int]:
    """Places higher than both neighbours and four times the median within ± 0.75 Hz."""
    reach = max(4, round(0.75 / step_hz))
    if len(size) < 3:
        return []
    padded = np.pad(size, reach, mode="edge")
    around = np.median(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1), axis=1)
    higher = (size[1:-1] > size[:-2]) & (size[1:-1] >= size[2:]) & (size[1:-1] > 4.0 * around[1:-1])
    return [int(place) + 1 for place in np.flatnonzero(higher) if place >= 1]
