"""Finding ticks and clicks: short impulses that stand out of the sound around them.

An impulse is a place where the sound between 1.5 and 10 kHz, with the tone of the band taken out, exceeds ten times
(20 dB) the rms of the 50 ms round it. That rms is taken from the median power of its 5 ms parts, so that the impulse
itself does not raise it. Places nearer than 5 ms count as one.

Source: definition of ``clicks_per_minute`` in the readings contract; the frequency range and the robust rms are own
choices (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spindlewright.signal.windowed_sinc import band_pass

THRESHOLD = 10.0
"""Peak over local rms (20 dB)."""
MERGE_S = 0.005
BAND_HZ = (1500.0, 10_000.0)
_FILTER_OUTPUTS = 15
"""Length of the band-pass, in samples at the decimated rate."""


@dataclass(frozen=True, slots=True)
class Impulses:
    """Impulses of one chunk: first and last frame of each, counted from the start of the stretch, and its peak
    over the local rms."""

    first: np.ndarray
    last: np.ndarray
    peak_ratio: np.ndarray


class ImpulseDetector:
    """Feed it planar chunks (2, n) of a fixed length; each call gives the impulses that begin in that chunk.

    ``tones_hz`` are taken out by a double zero each (their flutter stays more than 100 dB down).
    Valid for rates of 8 kHz and more; the upper edge of the range follows the rate below 24 kHz.
    """

    def __init__(self, rate_hz: float, tones_hz: tuple[float, ...] = ()) -> None:
        self.rate_hz = rate_hz
        self.decimation = max(1, round(rate_hz / 24_000.0))
        self.fine_rate_hz = rate_hz / self.decimation
        notches = [
            2.0 * np.cos(2.0 * np.pi * f / self.fine_rate_hz)
            for f in tones_hz
            if BAND_HZ[0] / 3.0 < f < 0.5 * self.fine_rate_hz
            for _ in range(2)
        ]
        self._outputs = _FILTER_OUTPUTS + 1 + 2 * len(notches)
        row = self._outputs * self.decimation
        self.chunk_multiple = row
        taps = _FILTER_OUTPUTS * self.decimation + 1
        high = min(BAND_HZ[1], 0.42 * self.fine_rate_hz)
        kernel = band_pass(taps, BAND_HZ[0], high, 5.0, rate_hz)
        slow = np.hanning(taps + 2)[1:-1]
        kernel -= slow * (kernel.sum() / slow.sum())  # nothing at 0 Hz: rumble and hum fall by 40 dB and more
        for notch in notches:
            zeros = np.zeros(2 * self.decimation + 1)
            zeros[:: self.decimation] = 1.0, -notch, 1.0
            kernel = np.convolve(kernel, zeros)
        taps = len(kernel)
        matrix = np.zeros((2 * row, self._outputs), np.float32)
        for output in range(self._outputs):
            newest = row + (output + 1) * self.decimation - 1
            matrix[newest - taps + 1 : newest + 1, output] = kernel[::-1]
        # columns: what a row adds to its own outputs, then what it adds to those of the next row
        self._matrix = np.concatenate([matrix[row:], matrix[:row]], axis=1)
        self._delay = (taps - 1) / 2.0
        self._row = row
        self._owed = np.zeros((2, self._outputs), np.float32)
        self._part = max(1, round(0.005 * self.fine_rate_hz))
        self._seen = 0
        self._last_place = -(10**12)

    def feed(self, planar: np.ndarray, valid: int | None = None) -> Impulses:
        """Impulses of float32 (2, n), n a multiple of ``chunk_multiple``; only the first ``valid`` frames count."""
        total = planar.shape[1]
        residue = self._residue(planar)
        count = residue.shape[1]
        if valid is not None:
            count = min(count, valid // self.decimation)
        magnitude = np.abs(residue, out=residue)[:, :count]
        parts = count // self._part
        places = np.empty(0, np.int64)
        ratio = np.empty(0)
        if parts > 0:
            places, ratio = self._outstanding(magnitude, parts)
        offset = self._seen
        self._seen += total
        return self._merge(places, ratio, offset)

    def _residue(self, planar: np.ndarray) -> np.ndarray:
        """The decimated sound of the range without the tones, float32 (2, n / decimation)."""
        product = (planar.reshape(-1, self._row) @ self._matrix).reshape(2, -1, 2 * self._outputs)
        own, next_ones = product[:, :, : self._outputs], product[:, :, self._outputs :]
        fine = np.empty(own.shape, np.float32)
        np.add(own[:, 1:], next_ones[:, :-1], out=fine[:, 1:])
        np.add(own[:, 0], self._owed, out=fine[:, 0])
        self._owed = next_ones[:, -1].copy()
        return fine.reshape(2, -1)

    def _outstanding(self, magnitude: np.ndarray, parts: int) -> tuple[np.ndarray, np.ndarray]:
        used = parts * self._part
        blocks = magnitude[:, :used].reshape(2, parts, self._part)
        power = np.einsum("cpk,cpk->cp", blocks, blocks) / self._part
        peaks = blocks.max(axis=2)
        if self._seen == 0:
            peaks[:, :1] = 0.0  # the filters fill
        if np.all(peaks.max(axis=1) <= THRESHOLD * np.sqrt(power.min(axis=1))):
            return np.empty(0, np.int64), np.empty(0)  # whatever the medians are
        local = _local_power(power, 10)
        suspect = np.flatnonzero(np.any(peaks > THRESHOLD * np.sqrt(local) + 1e-12, axis=0))
        if len(suspect) == 0:
            return np.empty(0, np.int64), np.empty(0)
        inside = blocks[:, suspect] / np.sqrt(local[:, suspect, None] + 1e-24)
        best = inside.max(axis=0)
        part, sample = np.nonzero(best > THRESHOLD)
        return suspect[part] * self._part + sample, best[part, sample]

    def _merge(self, places: np.ndarray, ratio: np.ndarray, offset: int) -> Impulses:
        if len(places) == 0:
            empty = np.empty(0, np.int64)
            return Impulses(empty, empty, np.empty(0))
        frames = offset + places * self.decimation + self.decimation - 1 - round(self._delay)
        gap = MERGE_S * self.rate_hz
        new = np.diff(frames, prepend=self._last_place) > gap
        self._last_place = int(frames[-1])
        group = np.cumsum(new) - 1
        if group[0] < 0:  # the first ones belong to an impulse already told
            keep = group >= 0
            frames, ratio, group = frames[keep], ratio[keep], group[keep]
            if len(frames) == 0:
                empty = np.empty(0, np.int64)
                return Impulses(empty, empty, np.empty(0))
        starts = np.flatnonzero(np.diff(group, prepend=-1))
        ends = np.append(starts[1:], len(frames)) - 1
        return Impulses(frames[starts], frames[ends], np.maximum.reduceat(ratio, starts))


def _local_power(power: np.ndarray, width: int) -> np.ndarray:
    """Median power of each group of ``width`` neighbours along the last axis; the last group may overlap."""
    length = power.shape[1]
    if length <= width:
        return np.repeat(np.median(power, axis=1, keepdims=True), length, axis=1)
    groups = length // width
    middle = np.median(power[:, : groups * width].reshape(2, groups, width), axis=2)
    local = np.repeat(middle, width, axis=1)
    if local.shape[1] < length:
        rest = np.median(power[:, length - width :], axis=1, keepdims=True)
        local = np.concatenate([local, np.repeat(rest, length - local.shape[1], axis=1)], axis=1)
    return np.asarray(local)
