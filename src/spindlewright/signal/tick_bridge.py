"""Bridging ticks in the low band, so that rumble and hum do not count them.

A tick is where the fourth difference of the sound stands more than 20 dB over its own rms in the 100 ms round it
(the three loudest of the twenty 5 ms parts left out of that rms, so that one tick does not hide itself and
mains buzz does not pass for ticks). From 2 ms before it to 8 ms after it (the bass boost of the replay curve lets it
die away with 3.2 ms) the sound is replaced by what linear prediction from both sides expects there, which carries
mains lines and slow rumble across.

Source: least-squares interpolation with an autoregressive model (Janssen, Veldhuis and Vries 1986, from memory);
thresholds and times: own choice, common practice, no source.
"""

from __future__ import annotations

import math

import numpy as np
from scipy import linalg, ndimage

THRESHOLD = 10.0
"""Peak over local rms (20 dB)."""
BEFORE_S, AFTER_S = 0.002, 0.008
PART_S = 0.005
WINDOW_PARTS = 20
LOUDEST_LEFT_OUT = 3
MOST_BRIDGED = 0.15
"""More than this share of a segment can't be ticks: then nothing is bridged."""
CONTEXT_S = 0.1
"""Sound on each side from which the prediction is learnt."""
ORDER = 40


def bridge_ticks(samples: np.ndarray, rate_hz: float) -> tuple[np.ndarray, float]:
    """The same float64 (n, 2) samples with ticks bridged in both channels, and the share bridged (0 … 1).

    Made for rates of 4 to 8 kHz and segments of 0.5 s and more.
    """
    marked = _ticks(samples, rate_hz)
    if not marked.any():
        return samples, 0.0
    before, after = round(BEFORE_S * rate_hz), round(AFTER_S * rate_hz)
    reach = max(before, after)
    shape = np.zeros(2 * reach + 1, bool)
    shape[reach - before : reach + after + 1] = True
    wide = ndimage.binary_dilation(marked, shape)
    share = float(wide.mean())
    if share > MOST_BRIDGED:
        return samples, 0.0
    bridged = samples.copy()
    edges = np.flatnonzero(np.diff(wide.astype(np.int8), prepend=0, append=0)).reshape(-1, 2)
    context = round(CONTEXT_S * rate_hz)
    for place, (first, end) in enumerate(edges):
        begin = max(0, int(first) - context, int(edges[place - 1][1]) if place else 0)
        stop = min(len(samples), int(end) + context, int(edges[place + 1][0]) if place + 1 < len(edges) else 10**12)
        part = bridged[begin:stop]
        for channel in range(part.shape[1]):
            part[:, channel] = _predicted(part[:, channel], int(first) - begin, int(end) - begin)
    return bridged, share


def _ticks(samples: np.ndarray, rate_hz: float) -> np.ndarray:
    size = max(4, round(PART_S * rate_hz))
    parts = len(samples) // size
    marked = np.zeros(len(samples), bool)
    if parts < WINDOW_PARTS:
        return marked
    sharp = np.zeros(samples.T.shape)
    sharp[:, 2:-2] = np.diff(samples.T, 4)
    in_parts = sharp[:, : parts * size].reshape(2, parts, size)
    power = np.einsum("cps,cps->cp", in_parts, in_parts) / size
    size_of_all = np.abs(sharp)
    if np.all(size_of_all.max(axis=1) <= THRESHOLD * np.sqrt(power.min(axis=1)) + 1e-12):
        return marked  # no part is so quiet that anything could stand out of it
    windows = np.lib.stride_tricks.sliding_window_view(power, WINDOW_PARTS, axis=1)
    kept = np.sort(windows, axis=-1)[..., : WINDOW_PARTS - LOUDEST_LEFT_OUT].mean(axis=-1)
    before = (WINDOW_PARTS - 1) // 2
    local = np.pad(kept, ((0, 0), (before, parts - before - kept.shape[1])), mode="edge")
    level = np.repeat(np.sqrt(local), size, axis=1)
    level = np.pad(level, ((0, 0), (0, len(samples) - level.shape[1])), mode="edge")
    return np.asarray(np.any(size_of_all > THRESHOLD * level + 1e-12, axis=0))


def _predicted(samples: np.ndarray, first: int, end: int) -> np.ndarray:
    """``samples`` (n,) with ``first`` … ``end`` replaced by the values that make the prediction errors least."""
    known = (samples[:first], samples[end:])
    scale = math.sqrt(float(np.mean(np.concatenate(known) ** 2)))
    order = min(ORDER, min(len(side) for side in known) // 3)
    result = samples.copy()
    if order < 4 or scale < 1e-15:  # at an edge, where the window lets next to nothing through, or in nothing at all
        beside = known[0][-4:] if len(known[0]) > len(known[1]) else known[1][:4]
        result[first:end] = beside.mean()
        return result
    result[first:end] = 0.0
    error_filter = _error_filter(known, order, scale)
    # Each prediction error is a sum over order + 1 samples; take those that touch the gap.
    low, high = max(order, first), min(len(samples), end + order)
    rows = np.arange(low, high)[:, None] - np.arange(order + 1)[None, :]
    inside = (rows >= first) & (rows < end)
    fixed = np.where(inside, 0.0, samples[rows]) @ error_filter
    matrix = np.zeros((high - low, end - first))
    line, lag = np.nonzero(inside)
    matrix[line, rows[line, lag] - first] = error_filter[lag]
    result[first:end] = linalg.lstsq(matrix, -fixed, lapack_driver="gelsy", check_finite=False)[0]
    return result


def _error_filter(known: tuple[np.ndarray, np.ndarray], order: int, scale: float) -> np.ndarray:
    """Prediction-error filter (1, −a1, …) by least squares over both sides, forwards and backwards."""
    blocks = []
    for side in known:
        if len(side) > order:
            frames = np.lib.stride_tricks.sliding_window_view(side, order + 1)
            blocks += [frames[:, ::-1], frames]
    frames = np.concatenate(blocks)
    past, now = frames[:, 1:], frames[:, 0]
    normal = past.T @ past
    normal[np.diag_indices(order)] += 1e-9 * len(frames) * scale**2
    weights = linalg.solve(normal, past.T @ now, assume_a="pos", check_finite=False)
    return np.concatenate([[1.0], -weights])
