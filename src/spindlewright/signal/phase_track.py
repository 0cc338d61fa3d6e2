"""The phase of a tone over time, both channels combined, with ticks bridged.

Each channel's baseband is turned to a common phase and added in proportion to its strength. Rows touched by a
tick, or where the tone is gone for a moment, are bridged: phase and amplitude run on in a straight line from the
last good row to the next one. A phase step that stays after such a gap cannot come from the disc: samples are
missing there. It is taken out and kept as a jump.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

FADED = 0.3
"""A row weaker than this share of the tone is not trusted."""
JUMP_RAD = 0.35
"""Smallest step across a gap that counts as missing samples. Flutter of 0.2 % at 10 Hz makes 0.06 rad in 7 ms."""
LONGEST_JUMP_GAP_S = 0.06
"""Across longer gaps the phase can't be told, so no jump is claimed."""


@dataclass(frozen=True, slots=True)
class PhaseJump:
    """A step of the tone's phase at ``row`` of the track, in rad."""

    row: int
    step_rad: float


class PhaseTrack:
    """State machine from carrier rows complex128 (n, 2) to phase rows float64 (n, 3), see ``feed``."""

    def __init__(self, rate_hz: float, weights: tuple[float, float], right_phase_rad: float = 0.0) -> None:
        self.rate_hz = rate_hz
        self.jumps: list[PhaseJump] = []
        self.faded_rows = 0
        total = weights[0] + weights[1]
        self._left = weights[0] / total
        self._right = weights[1] / total * np.exp(-1j * right_phase_rad)
        self._amplitude = 0.0
        self._last: tuple[float, float] | None = None  # phase and relative amplitude of the last good row
        self._step = 0.0  # recent mean phase advance per row
        self._rows_out = 0
        self._waiting = 0  # bad rows since the last good one

    def feed(self, baseband: np.ndarray, bad: np.ndarray) -> np.ndarray:
        """Phase rows made certain by ``baseband`` (n, 2): [unwrapped phase rad, relative amplitude - 1, 1 or 0].

        ``bad`` (n,) marks rows touched by a tick. Rows after the last good one are held back until the next call.
        """
        combined = baseband[:, 0] * self._left + baseband[:, 1] * self._right
        amplitude = np.abs(combined)
        if self._amplitude == 0.0:
            self._amplitude = float(np.median(amplitude)) or 1e-30
        faded = amplitude < FADED * self._amplitude
        self.faded_rows += int(np.count_nonzero(faded))
        good = np.flatnonzero(~(bad | faded))
        if len(good) == 0:
            self._waiting += len(combined)
            return np.empty((0, 3))
        phase = self._unwrapped(np.angle(combined[good]), good)
        relative = amplitude[good] / self._amplitude - 1.0
        if self._last is None:  # rows before the first good one repeat it
            anchor_index = np.array([-self._waiting - 1.0])
            anchor_phase = phase[:1] - self._step * (good[0] + self._waiting + 1)
            anchor_relative = relative[:1]
        else:
            anchor_index = np.array([-self._waiting - 1.0])
            anchor_phase, anchor_relative = np.array([self._last[0]]), np.array([self._last[1]])
        rows = np.arange(-self._waiting, good[-1] + 1)
        places = np.concatenate([anchor_index, good])
        out = np.empty((len(rows), 3))
        if len(rows) == len(good):
            out[:, 0], out[:, 1], out[:, 2] = phase, relative, 1.0
        else:
            out[:, 0] = np.interp(rows, places, np.concatenate([anchor_phase, phase]))
            out[:, 1] = np.interp(rows, places, np.concatenate([anchor_relative, relative]))
            out[:, 2] = 0.0
            out[good + self._waiting, 2] = 1.0
        self._last = (float(phase[-1]), float(relative[-1]))
        self._waiting = len(combined) - 1 - int(good[-1])
        self._rows_out += len(out)
        return out

    def _unwrapped(self, angle: np.ndarray, good: np.ndarray) -> np.ndarray:
        gaps = np.diff(good, prepend=-self._waiting - 1)
        previous = angle[0] if self._last is None else self._last[0]
        advance = np.diff(angle, prepend=previous)
        advance -= 2.0 * np.pi * np.rint(advance / (2.0 * np.pi))
        for k in np.flatnonzero(gaps > 1):
            if self._last is None and k == 0:
                continue
            near = advance[max(0, k - 40) : k][gaps[max(0, k - 40) : k] == 1]
            step = float(near.mean()) if len(near) >= 8 else self._step
            after = advance[k + 1 : k + 41][gaps[k + 1 : k + 41] == 1]
            if len(after) >= 8:
                step = 0.5 * (step + float(after.mean()))
            expected = step * gaps[k]
            surprise = (advance[k] - expected + np.pi) % (2.0 * np.pi) - np.pi
            if abs(surprise) > JUMP_RAD and gaps[k] <= LONGEST_JUMP_GAP_S * self.rate_hz:
                self.jumps.append(PhaseJump(self._rows_out + int(good[k]) + self._waiting, float(surprise)))
                surprise = 0.0
            advance[k] = expected + surprise
        single = advance[gaps == 1]
        if len(single):
            self._step = float(single[-200:].mean())
        return np.asarray(previous + np.cumsum(advance))
