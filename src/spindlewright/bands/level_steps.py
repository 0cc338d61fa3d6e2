"""Where the level of a steady tone steps: more than 1 dB for more than 0.5 s ends a band."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

STEP_DB = 1.0
HOLD_S = 0.5
TURN_S = 1.8


def step_places(level_db: NDArray[np.float64], frame_s: float, step_db: float = STEP_DB) -> list[int]:
    """Indices at which a new level begins, in a track of frame levels (n,) or of several channels (n, k).

    A step is a difference of the medians of 0.5 s before and after of more than ``step_db`` that also stands
    between the medians of a turn (1.8 s) before and after and is larger than the unrest in both, so that a rise and
    fall with the platter, or a beat with hum, is none.
    """
    track = level_db[:, None] if level_db.ndim == 1 else level_db
    hold, turn = max(3, round(HOLD_S / frame_s)), round(TURN_S / frame_s)
    count = track.shape[0]
    if count < 2 * hold:
        return []
    windows = np.lib.stride_tricks.sliding_window_view(track, hold, axis=0)
    medians = np.median(windows, axis=-1)
    size = np.abs(medians[hold:] - medians[:-hold]).max(axis=1)  # step at index i + hold
    places: list[int] = []
    at = 0
    while at < size.size:
        if size[at] <= step_db:
            at += 1
            continue
        stop = at
        while stop < size.size and size[stop] > step_db:
            stop += 1
        place = _sharpened(track, hold + at + int(np.argmax(size[at:stop])), hold)
        begin = places[-1] if places else 0
        at = stop
        if place - begin < hold // 2:
            continue
        before, after = track[max(begin, place - turn) : place], track[place : place + turn]
        size_db = np.abs(np.median(after, axis=0) - np.median(before, axis=0))
        if np.any((size_db > step_db) & (size_db > np.maximum(_spread(before), _spread(after)))):
            places.append(place)
    return places


def _spread(part: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far the inner 70 % of each column reach."""
    low, high = np.percentile(part, (15, 85), axis=0)
    return np.asarray(high - low)


def _sharpened(track: NDArray[np.float64], place: int, hold: int) -> int:
    """The index near ``place`` that parts the track best into two levels (least squares of the deviations)."""
    first, stop = max(0, place - hold), min(track.shape[0], place + hold)
    part = track[first:stop]
    best, least = place, np.inf
    for cut in range(2, part.shape[0] - 1):
        left, right = part[:cut], part[cut:]
        cost = float(np.abs(left - np.median(left, axis=0)).sum() + np.abs(right - np.median(right, axis=0)).sum())
        if cost < least:
            best, least = first + cut, cost
    return best
