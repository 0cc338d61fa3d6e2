"""Runs: consecutive frames whose dominant line goes on without a jump."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.lines import Lines

JUMP_OCTAVES = 0.045
"""Frames of one run follow each other within 3 %."""
PATIENCE_S = 0.5
"""A run survives a disturbance (tick, drop-out) no longer than this."""
NEW_RUN_FRAMES = 3
"""So many consistent frames elsewhere begin a run of their own."""


@dataclass(frozen=True, slots=True)
class Run:
    """Frames ``first`` to ``stop`` (not included); ``good`` the frames that carry its line."""

    first: int
    stop: int
    good: NDArray[np.intp]


def tonal_runs(lines: Lines) -> list[Run]:
    """Link tonal frames to runs, bridging frames spoilt by ticks."""
    patience = max(2, round(PATIENCE_S / lines.frame_s))
    octave = np.log2(np.maximum(lines.hz, 1.0)).tolist()  # plain numbers: the loop below is quicker with them
    runs: list[Run] = []
    current: list[int] = []
    waiting: list[int] = []

    def close(frames: list[int]) -> None:
        if len(frames) >= NEW_RUN_FRAMES:
            runs.append(Run(frames[0], frames[-1] + 1, np.array(frames, dtype=np.intp)))

    for frame in np.flatnonzero(lines.tonal).tolist():
        if current and frame - current[-1] > patience:
            close(current)
            # what waited came after the last good frame: it may be a run of its own
            close(waiting)
            current, waiting = [], []
        if not current or abs(octave[frame] - octave[current[-1]]) <= JUMP_OCTAVES:
            current.append(frame)
            waiting = []
            continue
        if waiting and abs(octave[frame] - octave[waiting[-1]]) > JUMP_OCTAVES:
            waiting = []
        waiting.append(frame)
        if len(waiting) >= NEW_RUN_FRAMES and waiting[-1] - waiting[0] < 2 * NEW_RUN_FRAMES:
            close(current)
            current, waiting = waiting, []
    close(current)
    return runs
