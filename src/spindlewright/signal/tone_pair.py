"""One tone in two channels: its level in each and the complex ratio between them, segment by segment.

The channel in which the tone is stronger carries the phase, so the ratio follows wow and flutter by itself. Work
goes in segments of about 0.1 s made of cells of about 5 ms: within a segment the local frequency is taken out, each
cell is averaged, cells hit by a tick are left out, a smooth phase is fitted to the stronger channel and both channels
are averaged against it. So only what lies within some 10 Hz of the tone counts: noise and hum that both channels
share do not pose as crosstalk. Levels come from the cells, which follow fast flutter too. Six numbers a segment are
kept.

Source: derived here (ratio of coherent means at one frequency). Range: tone at least 10 dB above the noise in one
channel, wow within ±100 Hz of the mixing frequency.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spindlewright.signal.correlated_mean import MAD_TO_SIGMA

CELL_S = 0.005
SEGMENT_S = 0.1
TOGETHER = 64
"""Segments that are worked on at once, for speed alone."""
TICK_LIMIT = 5.0
"""Robust standard deviations beyond which a cell is taken for a tick."""
LEAST_KEPT = 0.5
"""Share of a segment's cells that must be left for the segment to count."""


@dataclass(frozen=True, slots=True)
class Segments:
    """Arrays of equal length, one entry a good segment; powers are squared peak amplitudes re full scale squared.

    ``weaker_over_stronger`` is the ratio of the channels with the smaller and the larger power in that segment,
    ``left`` and ``right`` the tone's power with the noise power taken off, ``coherence`` how steady the stronger
    channel is from cell to cell: 1 for a tone, about 0.2 for noise alone. ``middle_s`` is the time of the segment's
    middle after the first sample fed, ``offset_hz`` the local frequency.
    """

    middle_s: np.ndarray
    offset_hz: np.ndarray

    coherence: np.ndarray
    weaker_over_stronger: np.ndarray
    left: np.ndarray
    right: np.ndarray

    @property
    def right_over_left(self) -> np.ndarray:
        """Complex ratio of the outputs."""
        return self._turned(self.left >= self.right)

    @property
    def left_over_right(self) -> np.ndarray:
        """Complex ratio of the outputs."""
        return self._turned(self.left < self.right)

    def _turned(self, upright: np.ndarray) -> np.ndarray:
        ratio = self.weaker_over_stronger
        return np.asarray(np.where(upright, ratio, 1.0 / np.where(ratio == 0.0, 1e-30, ratio)))


class TonePairTrack:
    """Segment values of a stretch of a two-channel baseband tone, fed in blocks of any size.

    >>> track = TonePairTrack(2000.0)
    >>> track.feed(np.tile([0.5 + 0j, 0.05j], (2000, 1)))
    >>> seen = track.segments()
    >>> len(seen.left), complex(np.round(np.mean(seen.right_over_left), 6))
    (10, 0.1j)
    """

    def __init__(self, rate_hz: float) -> None:
        self.rate_hz = rate_hz
        self._cell = max(2, round(CELL_S * rate_hz))
        self._cells = max(10, round(SEGMENT_S * rate_hz / self._cell))
        self._length = self._cell * self._cells
        self._waiting: list[np.ndarray] = []
        self._waiting_samples = 0
        self._kept: list[np.ndarray] = []

    @property
    def segment_s(self) -> float:
        """Length of one segment."""
        return self._length / self.rate_hz

    def feed(self, block: np.ndarray) -> None:
        """Take complex (n, 2): left, right as peak amplitude re full scale, mixed to 0 Hz."""
        self._waiting.append(np.array(block, np.complex128))
        self._waiting_samples += len(block)
        if self._waiting_samples >= TOGETHER * self._length:
            joined = np.concatenate(self._waiting)
            self._kept.append(self._measure(joined))
            rest = joined[len(joined) // self._length * self._length :].copy()
            self._waiting, self._waiting_samples = [rest], len(rest)

    def segments(self) -> Segments:
        """All complete segments so far whose tone could be seen; disturbs nothing."""
        tables = [*self._kept, np.zeros((0, 6))]
        if self._waiting_samples >= self._length:
            tables.append(self._measure(np.concatenate(self._waiting)))
        table = np.concatenate(tables)
        middle_s = (np.arange(len(table)) + 0.5) * self.segment_s
        good = np.all(np.isfinite(table), axis=1)
        table, middle_s = table[good], middle_s[good]
        ratio = table[:, 1] + 1j * table[:, 2]
        return Segments(middle_s, table[:, 5], table[:, 0], ratio, table[:, 3], table[:, 4])

    def _measure(self, samples: np.ndarray) -> np.ndarray:
        """Rows coherence, weaker over stronger (2), left, right, offset of the whole segments in complex (n, 2).

        Segments in which no tone can be seen are rows of nan.
        """
        count = len(samples) // self._length
        cells, turn = self._cell_means(samples[: count * self._length].reshape(count, self._length, 2))
        rows = np.arange(count)
        sizes = np.median(np.abs(cells), axis=1)
        stronger = (sizes[:, 1] > sizes[:, 0]).astype(int)
        leading, other = cells[rows, :, stronger], cells[rows, :, 1 - stronger]
        keep = _without_ticks(leading, other)
        kept = keep.sum(axis=1)
        weight = keep / np.maximum(kept, 1)[:, None]
        powers = [self._power(np.abs(cells[..., channel]), keep, weight) for channel in (0, 1)]
        reference = weight * _smooth_phase(leading, keep).conj()
        ratio = (reference * other).sum(axis=1) / _not_zero((reference * leading).sum(axis=1))
        # ``stronger`` by the cells' sizes and by the powers may differ when both are alike.
        agree = (powers[1] > powers[0]) == (stronger == 1)
        ratio = np.where(agree, ratio, 1.0 / _not_zero(ratio))
        table = np.column_stack(
            [_steadiness(leading, keep), ratio.real, ratio.imag, *powers, turn * self.rate_hz / (2.0 * np.pi)]
        )
        good = (kept >= LEAST_KEPT * self._cells) & (np.maximum(powers[0], powers[1]) > 0.0)
        return np.asarray(np.where(good[:, None], table, np.nan))

    def _cell_means(self, samples: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Means (count, cells, 2) over each cell with the segment's own frequency offset taken out, and that offset
        (count,) in rad a sample.

        The offset is the mean direction of the step from sample to sample in the stronger channel, sizes left
        out so that a tick counts no more than its length.
        """
        count = len(samples)
        stronger = np.argmax(np.abs(samples).sum(axis=1), axis=1)
        leading = samples[np.arange(count), :, stronger]
        steps = leading[:, 1:] * leading[:, :-1].conj()
        steps /= np.maximum(np.abs(steps), 1e-300)
        turn = np.angle(steps.sum(axis=1))
        back = -1j * turn[:, None]
        within = np.exp(back * np.arange(self._cell)) / self._cell
        between = np.exp(back * self._cell * np.arange(self._cells))
        cells = samples.reshape(count, self._cells, self._cell, 2)
        return np.asarray(np.einsum("ncsk,ns,nc->nck", cells, within, between)), turn

    @staticmethod
    def _power(size: np.ndarray, keep: np.ndarray, weight: np.ndarray) -> np.ndarray:
        """Tone power: mean square less the noise seen in the steps between neighbouring cells."""
        both = keep[:, 1:] & keep[:, :-1]
        step = np.where(both, np.diff(size, axis=1), 0.0)
        noise = (step**2).sum(axis=1) / np.maximum(both.sum(axis=1), 1)  # twice the radial variance
        return np.asarray((weight * size**2).sum(axis=1) - noise)


def _not_zero(values: np.ndarray) -> np.ndarray:
    return np.asarray(np.where(values == 0.0, 1e-30, values))


def _smooth_phase(leading: np.ndarray, keep: np.ndarray) -> np.ndarray:
    """Unit phasors (count, cells) of a cubic fitted to the phase of the leading channel, ticks left out."""
    cells = leading.shape[1]
    mean = (keep * leading).sum(axis=1, keepdims=True)
    phase = np.angle(leading * mean.conj())
    basis = np.polynomial.legendre.legvander(np.linspace(-1.0, 1.0, cells), 3)
    normal = np.einsum("nc,ci,cj->nij", keep.astype(float), basis, basis) + 1e-6 * np.eye(4)
    moment = (keep * phase) @ basis
    fitted = np.linalg.solve(normal, moment[:, :, None])[:, :, 0] @ basis.T
    return np.asarray(np.exp(1j * fitted))


def _steadiness(leading: np.ndarray, keep: np.ndarray) -> np.ndarray:
    """Size of the mean product of neighbouring cells over their mean square, cells left out on both sides."""
    both = keep[:, 1:] & keep[:, :-1]
    step = np.where(both, leading[:, 1:] * leading[:, :-1].conj(), 0.0).sum(axis=1)
    power = np.where(both, 0.5 * (np.abs(leading[:, 1:]) ** 2 + np.abs(leading[:, :-1]) ** 2), 0.0).sum(axis=1)
    return np.asarray(np.abs(step) / np.maximum(power, 1e-300))


def _without_ticks(leading: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Mask (count, cells): size of the leading channel and the other channel seen against it are not outliers."""
    size = np.abs(leading)
    against = other * leading.conj() / np.maximum(size, 1e-300)
    keep = np.ones(size.shape, bool)
    floor = 1e-9 * np.median(size, axis=1, keepdims=True) + 1e-30
    for series in (size, against.real, against.imag):
        apart = np.abs(series - np.median(series, axis=1, keepdims=True))
        scale = MAD_TO_SIGMA * np.median(apart, axis=1, keepdims=True)
        keep &= apart <= TICK_LIMIT * np.maximum(scale, floor)
    return keep
