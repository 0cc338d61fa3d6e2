"""Samples of floating-point files that are no numbers, or absurd ones: found, counted, handed on as silence."""

from __future__ import annotations

import threading
from collections.abc import Callable

import numpy as np

from spindlewright.capture.fitness_item import FitnessItem

LARGEST_PLACES = 50
LARGEST_VALUE = 1e10
"""A value beyond this, re full scale, is no sound: 200 dB over, and more than whole 32-bit numbers left unscaled."""
CHANNEL_NAMES = ("left", "right")


class NotFinite:
    """Counts over one pass through the whole file; further passes are mended in the same way but not counted."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._counting = False
        self.count = [0, 0]
        self.places: list[int] = []

    def start(self, whole: bool) -> Callable[[np.ndarray, int], None]:
        """What to call with every block of one pass."""
        with self._lock:
            counts = whole and not self._counting
            self._counting = self._counting or whole

        def mend(block: np.ndarray, first_frame: int) -> None:
            flat = block.reshape(-1)
            with np.errstate(over="ignore", invalid="ignore"):
                if np.dot(flat, flat) < LARGEST_VALUE**2:
                    return  # one cheap sum that any such sample would spoil
                bad = ~(np.abs(block) <= LARGEST_VALUE)
            if not bad.any():
                return
            block[bad] = 0.0
            if counts:
                self._note(bad, first_frame)

        return mend

    def _note(self, bad: np.ndarray, first_frame: int) -> None:
        for channel in range(min(2, bad.shape[1])):
            self.count[channel] += int(np.count_nonzero(bad[:, channel]))
        if bad.shape[1] == 1:
            self.count[1] = self.count[0]
        room = LARGEST_PLACES - len(self.places)
        if room > 0:
            frames = np.flatnonzero(bad[:, :2].any(axis=1))[:room]
            self.places.extend(int(frame) + first_frame for frame in frames)

    def fitness(self, rate_hz: float) -> tuple[FitnessItem, ...]:
        """One item when any was found."""
        total = max(self.count) if self.count[0] == self.count[1] else sum(self.count)
        if total == 0:
            return ()
        hit = [name for name, count in zip(CHANNEL_NAMES, self.count, strict=True) if count]
        times = [frame / rate_hz for frame in self.places]
        where = ", ".join(f"{time:.3f} s" for time in times[:5]) + (" …" if len(times) > 5 else "")
        samples = "samples are" if total > 1 else "sample is"
        return (
            FitnessItem(
                code="not_finite",
                severity="warn",
                message=f"{total} {samples} not a number, or one beyond all sense ({where}), and taken as silence. "
                "Save the recording again from the program it was recorded with, or record again.",
                channel=("left" if hit == ["left"] else "right") if len(hit) == 1 else None,
                evidence={"count": dict(zip(CHANNEL_NAMES, self.count, strict=True)), "times_s": times},
            ),
        )
