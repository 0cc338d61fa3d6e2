"""Mains lines of a quiet stretch of any length, gathered block by block.

The sound is worked on in chapters of a minute, so that memory does not grow; the last chapter is 30 to 90 s long.
Powers of the chapters are averaged by their length; the phase is that at the beginning of the stretch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from spindlewright.signal.hann_segments import HannSegments
from spindlewright.signal.mains_lines import FALSE_ALARM, MIN_SEGMENTS, ORDERS, Comb, find_comb

CHAPTER_SEGMENTS = 60
MOST_SEGMENTS = 90
TOP_HZ = 1310.0
LINE_FALSE_ALARM = FALSE_ALARM / (2 * len(ORDERS))
"""Chance that noise alone passes for one given line of one channel."""
_NOISE_FREEDOM = 10.0


@dataclass(frozen=True, slots=True)
class MainsLines:
    """Lines of one stretch; arrays are (20, 2): orders 1 to 20, left and right.

    ``power`` (a full-scale sine is 1, noise taken off, may be slightly negative) with its variance; ``phase_rad`` of
    the cosine at the first sample (nan where the first chapter shows none); ``significant`` marks the lines that
    stand over the noise. ``frequency_hz`` with its variance in Hz², ``wander_hz`` its scatter between chapters.
    ``bridged`` and ``lost``: shares (0 … 1) of the time under ticks, and of each line's amplitude lost by imperfect
    following (put back).
    """

    frequency_hz: float
    frequency_variance: float
    wander_hz: float
    power: np.ndarray
    power_variance: np.ndarray
    phase_rad: np.ndarray
    significant: np.ndarray
    lost: np.ndarray
    bridged: float
    duration_s: float
    chapters: int
    found: bool

    @property
    def resolution_hz(self) -> float:
        """Lines nearer to a multiple of the mains than this are not told apart from it."""
        return 2.0 * self.chapters / self.duration_s


class MainsTrack:
    """State over one stretch: feed float64 (n, 2) at 4 to 8 kHz, ask for ``lines()`` at any time."""

    def __init__(self, rate_hz: float, segment_s: float = 2.0, families: tuple[float, ...] = (50.0, 60.0)) -> None:
        self._segments = HannSegments(rate_hz, segment_s, TOP_HZ)
        self._families = families
        self._pending: list[np.ndarray] = []
        self._combs: list[Comb] = []
        self._bridged = 0.0
        self._count = 0

    def feed(self, block: np.ndarray) -> None:
        """Take the next samples, any number."""
        for segment in self._segments.feed(block):
            self._pending.append(segment.spectrum)
            self._bridged += segment.bridged
            self._count += 1
            if len(self._pending) == MOST_SEGMENTS:
                self._close_chapter(CHAPTER_SEGMENTS)

    def _close_chapter(self, segments: int) -> None:
        comb = self._comb(self._pending[:segments])
        if comb is not None:
            self._combs.append(comb)
        self._pending = self._pending[segments:]

    def _comb(self, spectra: list[np.ndarray]) -> Comb | None:
        if len(spectra) < MIN_SEGMENTS:
            return None
        found = [c for c in self._combs if c.found]
        families = self._families
        if found:
            families = (min(families, key=lambda f: abs(f - found[0].frequency_hz)),)
        return find_comb(np.stack(spectra), self._segments.bin_hz, self._segments.hop_s, families)

    def lines(self) -> MainsLines | None:
        """What the stretch shows so far; None when it is shorter than two segments."""
        last = self._comb(self._pending)
        combs = [*self._combs, *([last] if last is not None else [])]
        if not combs:
            return None
        return _together(combs, self._bridged / max(1, self._count))


def _together(combs: Sequence[Comb], bridged: float) -> MainsLines:
    found = [c for c in combs if c.found] or list(combs)
    seconds = np.array([c.duration_s for c in combs])
    share = (seconds / seconds.sum())[:, None, None]
    size = np.abs(np.stack([c.amplitude for c in combs])) ** 2
    noise = np.stack([c.variance for c in combs])
    freedom = 2.0 * len(combs)
    chance = special.fdtrc(freedom, freedom * _NOISE_FREEDOM * MIN_SEGMENTS, np.mean(size / noise, axis=0))
    any_found = any(c.found for c in combs)
    told = np.array([c.duration_s for c in found])
    told = told / told.sum()
    frequencies = np.array([c.frequency_hz for c in found])
    return MainsLines(
        frequency_hz=float(told @ frequencies),
        frequency_variance=float(told**2 @ np.array([c.frequency_variance for c in found])),
        wander_hz=float(np.std(frequencies)),
        power=np.sum(share * (size - noise), axis=0),
        power_variance=np.sum(share**2 * (2.0 * size * noise + noise**2), axis=0),
        phase_rad=np.angle(combs[0].amplitude) if combs[0].found else np.full(size.shape[1:], np.nan),
        significant=np.logical_and(chance < LINE_FALSE_ALARM, any_found),
        lost=np.mean([c.loss for c in combs], axis=0),
        bridged=bridged,
        duration_s=float(seconds.sum()),
        chapters=len(combs),
        found=any_found,
    )
