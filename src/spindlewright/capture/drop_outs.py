"""Short holes in a sound that goes on: zeros, or one value held, where the sound before and after is the same.

Evidence, per channel: the value does not change at all for ``SHORTEST_S`` or more (and not longer than
``LONGEST_S``: then it is a pause); within ``AROUND_S`` before and after, the sound is strong, alike in level and in
mean frequency, moves by several quantising steps from sample to sample, and breaks off instead of fading. So digital
silence at the ends of a file, pauses between tones, fades, and quiet 16-bit passages that stand still by nature do
not count.
All limits are working choices, tried against clean and damaged files in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from spindlewright.capture.clipping import runs_of

SHORTEST_S = 0.0007
SHORTEST_FRAMES = 24
LONGEST_S = 0.5
AROUND_S = 0.02
EDGE_S = 0.004
"""What breaks off keeps its strength to the last ``EDGE_S``."""
EDGE_SHARE = 0.5
LEVEL_RATIO = 1.26
"""Levels before and after agree within 2 dB."""
FREQUENCY_RATIO = 1.25
STRONG_STEPS = 30.0
MOVING_STEPS = 3.0


@dataclass(frozen=True, slots=True)
class Hole:
    """Frames ``[start, stop)`` of one channel in which the value stood still."""

    channel: int
    start: int
    stop: int


@dataclass(slots=True)
class DropOutFinder:
    """Fed every chunk in order; looks closely only when told that a chunk stands still somewhere."""

    rate_hz: float
    bits: int | None
    holes: list[Hole] = field(default_factory=list)
    _before: np.ndarray = field(default_factory=lambda: np.empty((0, 2), np.float32))
    _waiting: bool = False
    _constant_s: float = 0.0

    def feed(self, chunk: np.ndarray, first_frame: int, standing_still: bool, constant: bool) -> None:
        """float32 (n, 2); ``standing_still`` when a run of equal samples may lie in it, ``constant`` when neither
        channel changes at all."""
        around = round(AROUND_S * self.rate_hz)
        self._constant_s = self._constant_s + len(chunk) / self.rate_hz if constant else 0.0
        if self._constant_s > LONGEST_S:  # a pause, whatever came before
            self._waiting = False
            standing_still = False
        if not standing_still and not self._waiting:
            self._before = np.array(chunk[-around:]) if len(chunk) >= around else self._joined(chunk)[-around:]
            return
        x = self._joined(chunk)
        origin = first_frame - len(self._before)
        keep_from = max(0, len(x) - around)
        self._waiting = False
        for channel in range(2):
            unfinished = self._look(x[:, channel], origin, channel, around)
            if unfinished is not None:
                self._waiting = True
                keep_from = min(keep_from, max(0, unfinished - around))
        self._before = np.array(x[keep_from:])

    def _joined(self, chunk: np.ndarray) -> np.ndarray:
        return np.concatenate((self._before, chunk)) if len(self._before) else chunk

    def _look(self, x: np.ndarray, origin: int, channel: int, around: int) -> int | None:
        """Judge every run of equal samples; the start of one that needs more sound after it, if any."""
        shortest = max(SHORTEST_FRAMES, round(SHORTEST_S * self.rate_hz))
        longest = round(LONGEST_S * self.rate_hz)
        starts, stops = runs_of(x[1:] == x[:-1])
        stops = stops + 1  # a run of n equal differences is n + 1 equal samples
        long = stops - starts >= shortest
        unfinished = None
        for start, stop in zip(starts[long].tolist(), stops[long].tolist(), strict=True):
            if stop - start > longest or start == 0:
                continue
            if stop + around > len(x):
                unfinished = start
                break
            hole = Hole(channel, origin + start, origin + stop)
            if self._is_hole(x, start, stop, around) and (not self.holes or hole not in self.holes[-4:]):
                self.holes.append(hole)
        return unfinished

    def _is_hole(self, x: np.ndarray, start: int, stop: int, around: int) -> bool:
        before = x[max(0, start - around) : start].astype(np.float64)
        after = x[stop : stop + around].astype(np.float64)
        if len(before) < around or len(after) < around:
            return False
        if abs(x[start]) >= 0.98 * max(np.abs(before).max(), np.abs(after).max()):
            return False  # a flat top
        step = 2.0 ** (1 - min(self.bits or 16, 16))
        edge = max(8, round(EDGE_S * self.rate_hz))
        level = [float(np.std(part)) for part in (before, after)]
        moves = [float(np.sqrt(np.mean(np.diff(part) ** 2))) for part in (before, after)]
        if min(level) < STRONG_STEPS * step or min(moves) < MOVING_STEPS * step:
            return False
        if not 1.0 / LEVEL_RATIO < level[0] / level[1] < LEVEL_RATIO:
            return False
        pace = [moved / strength for moved, strength in zip(moves, level, strict=True)]
        if not 1.0 / FREQUENCY_RATIO < pace[0] / pace[1] < FREQUENCY_RATIO:
            return False
        return min(float(np.std(before[-edge:])), float(np.std(after[:edge]))) >= EDGE_SHARE * min(level)
