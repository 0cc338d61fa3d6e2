"""Fitness checks on the samples themselves, in one pass over the whole recording.

A few vectorised sums per chunk of about a third of a second decide where to look closely; only there the expensive
checks run. The results do not depend on the size of the blocks fed.
"""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass, field, replace

import numpy as np

from spindlewright.capture.clipping import SHORTEST_RUN, ClippedInterval, ClippingFinder
from spindlewright.capture.drop_outs import DropOutFinder, Hole
from spindlewright.capture.flat_tops import is_suspicious
from spindlewright.capture.inspected import Inspected
from spindlewright.capture.sameness import Sameness
from spindlewright.capture.sample_verdicts import fitness_of_samples
from spindlewright.signal.blocks import Rebuffer

__all__ = ["Inspected", "Inspection"]

CHUNK_S = 0.34
COLUMN_SPLIT = 64
"""A chunk is folded into this many rows, so that sums and extremes run over long contiguous columns."""
RESIDUES = 32
LOUD_S, LOUD_SHARE = 2.0, 0.2


@dataclass(slots=True)
class ChunkSums:
    """Per chunk: frames, mean and mean square of (left, right)."""

    frames: list[int] = field(default_factory=list)
    mean: list[tuple[float, float]] = field(default_factory=list)
    square: list[tuple[float, float]] = field(default_factory=list)


class Inspection:
    """Fed float32 blocks (n, 2) of any size; ``result()`` at any time, feeding may go on afterwards.

    ``channels`` and ``bits`` are the file's own (``RecordingInfo``). Full scale is 1.

    >>> tone = 0.5 * np.sin(2 * np.pi * 1000 / 48000 * np.arange(96000))
    >>> noise = 1e-3 * np.random.default_rng(1).standard_normal((96000, 2))
    >>> inspection = Inspection(48000.0, 2, 24)
    >>> inspection.feed((tone[:, None] + noise).astype(np.float32))
    >>> inspection.result().fitness
    ()
    """

    def __init__(self, rate_hz: float, channels: int, bits: int | None) -> None:
        self.rate_hz = float(rate_hz)
        self.channels = channels
        self.bits = bits
        size = 2 ** round(math.log2(CHUNK_S * rate_hz))
        self._buffer = Rebuffer(size, 2)
        self._seen = 0
        self._extremes = {1: [-math.inf, -math.inf], -1: [-math.inf, -math.inf]}
        self._sums = ChunkSums()
        self._stride = max(8, 2 ** round(math.log2(0.00035 * rate_hz)))
        self._clipping = ClippingFinder(self.rate_hz, bits)
        self._drop_outs = DropOutFinder(self.rate_hz, bits)
        self._sameness = Sameness(channels)

    def feed(self, block: np.ndarray) -> None:
        """The next samples, float32 (n, 2)."""
        for chunk in self._buffer.feed(block):
            self._work(chunk, len(chunk) // COLUMN_SPLIT)

    def result(self) -> Inspected:
        """Everything seen so far."""
        rest = self._buffer.rest()
        if not len(rest):
            return self._conclude()
        last = copy.deepcopy(self)
        last._work(np.ascontiguousarray(rest), 1)
        return last._conclude()

    def _work(self, chunk: np.ndarray, fold: int) -> None:
        frames = len(chunk)
        folded = chunk.reshape(-1, 2 * fold)
        pairs = chunk.reshape(-1).view(np.complex64)
        sums = _alternate_sums(np.dot(np.ones(len(folded), np.float32), folded))
        total, products = float(np.vdot(pairs, pairs).real), complex(np.dot(pairs, pairs))
        left, right, both = 0.5 * (total + products.real), 0.5 * (total - products.real), 0.5 * products.imag
        self._sums.frames.append(frames)
        self._sums.mean.append((sums[0] / frames, sums[1] / frames))
        self._sums.square.append((max(0.0, left) / frames, max(0.0, right) / frames))
        tops = self._find_flat_tops(chunk, folded.max(axis=0), 1)
        bottoms = self._find_flat_tops(chunk, -folded.min(axis=0), -1)
        for channel, power in enumerate((left, right)):
            mean = sums[channel] / frames
            rms = math.sqrt(max(0.0, power / frames - mean * mean))
            if is_suspicious(rms, 0.5 * (tops[channel] + bottoms[channel]), self.bits):
                self._clipping.look_at_crest(chunk[:, channel], channel, self._seen)
        constant = tops[0] == -bottoms[0] and tops[1] == -bottoms[1]
        self._drop_outs.feed(chunk, self._seen, constant or self._stands_still(chunk), constant)
        self._sameness.feed(chunk, left, right, both)
        self._seen += frames

    def _find_flat_tops(self, chunk: np.ndarray, tops: np.ndarray, side: int) -> tuple[float, float]:
        """``tops``: the largest of each column of the folded chunk, left and right in turn, times ``side``.

        The columns are folded once more, to the position in a row of ``RESIDUES`` samples: three samples in a row on
        one limit are three of these positions with the same largest value. Returns the largest of left and right.
        """
        if len(tops) > 2 * RESIDUES:
            tops = np.maximum.reduce(tops.reshape(-1, 2 * RESIDUES), axis=0)
        found: list[float] = []
        for channel in range(2):
            own = tops[channel::2]
            highest = float(own.max())
            found.append(highest)
            self._extremes[side][channel] = max(self._extremes[side][channel], highest)
            if np.count_nonzero(own == highest) >= min(SHORTEST_RUN, len(own)) and highest > 0.0:
                self._clipping.look(chunk[:, channel], channel, side, self._seen)
        return found[0], found[1]

    def _stands_still(self, chunk: np.ndarray) -> bool:
        """Whether a run of equal samples of at least twice the stride may lie in the chunk."""
        for channel in range(2):
            samples = chunk[:, channel]
            following = samples[1 :: self._stride]
            still = samples[:: self._stride][: len(following)] == following
            if (still[1:] & still[:-1]).any():
                return True
        return False

    def _conclude(self) -> Inspected:
        frames = np.array(self._sums.frames, np.float64)
        total = frames.sum()
        mean = np.array(self._sums.mean, np.float64).reshape(-1, 2)
        square = np.array(self._sums.square, np.float64).reshape(-1, 2)
        alternating = np.sqrt(np.maximum(0.0, square - mean**2))
        whole = total / self.rate_hz
        loud = tuple(_loud(alternating[:, c], frames / self.rate_hz) for c in range(2))
        seen = total > 0
        whole_mean = frames @ mean / total if seen else np.zeros(2)
        middle = np.median(mean, axis=0) if seen else np.zeros(2)
        highest, lowest = np.array(self._extremes[1]), -np.array(self._extremes[-1])
        inspected = Inspected(
            duration_s=float(whole),
            peak=_pair(np.maximum(np.abs(highest), np.abs(lowest)) if seen else np.zeros(2)),
            mean=_pair(whole_mean),
            offset=_pair(np.where(whole_mean * middle > 0.0, np.minimum(np.abs(whole_mean), np.abs(middle)), 0.0)),
            rms=_pair(np.sqrt(frames @ square / total) if seen else np.zeros(2)),
            loud_rms=(loud[0], loud[1]),
            clipped_s=(self._clipped(0), self._clipped(1)),
            held_s=(self._held(0), self._held(1)),
            constant=(bool(highest[0] == lowest[0]), bool(highest[1] == lowest[1])),
        )
        items = fitness_of_samples(
            inspected,
            bits=self.bits,
            clipped=self._clipping.intervals,
            rate_hz=self.rate_hz,
            sameness=self._sameness,
        )
        return replace(inspected, fitness=items)

    def _clipped(self, channel: int) -> tuple[tuple[float, float], ...]:
        found: list[ClippedInterval] = self._clipping.intervals[channel]
        return tuple((part.start / self.rate_hz, part.stop / self.rate_hz) for part in found)

    def _held(self, channel: int) -> tuple[tuple[float, float], ...]:
        found: list[Hole] = [hole for hole in self._drop_outs.holes if hole.channel == channel]
        return tuple((hole.start / self.rate_hz, hole.stop / self.rate_hz) for hole in found)


def _alternate_sums(columns: np.ndarray) -> tuple[float, float]:
    """Sums of the even and of the odd elements."""
    sums = columns.reshape(-1, 2).T @ np.ones(len(columns) // 2, np.float32)
    return float(sums[0]), float(sums[1])


def _pair(values: np.ndarray) -> tuple[float, float]:
    return float(values[0]), float(values[1])


def _loud(levels: np.ndarray, lengths_s: np.ndarray) -> float:
    """The level that is reached for ``LOUD_S`` in all, or ``LOUD_SHARE`` of a shorter sound; silence not counted."""
    levels, lengths_s = levels[levels > 0.0], lengths_s[levels > 0.0]
    if not len(levels):
        return 0.0
    order = np.argsort(levels)[::-1]
    time_s = min(LOUD_S, LOUD_SHARE * float(lengths_s.sum()))
    reached = np.searchsorted(np.cumsum(lengths_s[order]), time_s)
    return float(levels[order[min(int(reached), len(order) - 1)]])
