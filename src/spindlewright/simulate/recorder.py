"""The recorder: gain, automatic gain, clipping, offset, converter noise, word length, drop-outs and lost samples."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from spindlewright.simulate.randomness import stream
from spindlewright.simulate.spec import AutomaticGain, Missing, Recorder
from spindlewright.simulate.timebase import Timebase


def file_time_s(recorder: Recorder, timebase: Timebase, real_time_s: np.ndarray | float) -> np.ndarray:
    """Time in the file (sample number over declared rate) of a real time, lost samples taken into account."""
    at = np.asarray(real_time_s, float)
    lost = np.zeros(at.shape)
    for missing in recorder.missing:
        lost += np.where(at > missing.at_s, missing.samples, 0)
    return np.asarray((at * timebase.true_rate_hz - lost) / timebase.file_rate_hz)


class Converter:
    """Streaming recorder: analogue signal in full scale in, file samples out, one call per chunk in order."""

    def __init__(self, recorder: Recorder, timebase: Timebase, seed: int) -> None:
        self.recorder, self.timebase = recorder, timebase
        self._gain = 10.0 ** (recorder.gain_db / 20.0)
        self._noise = None if recorder.noise_dbfs is None else 10.0 ** (recorder.noise_dbfs / 20.0) / np.sqrt(2.0)
        self._random = stream(seed, "converter noise")
        self._levelling = None if recorder.automatic_gain is None else _Levelling(recorder.automatic_gain, timebase)

    def chunk(self, x: np.ndarray, first_sample: int) -> np.ndarray:
        """File samples (n, 2) of the analogue signal ``x`` (2, n) starting at ``first_sample``; changes ``x``."""
        r = self.recorder
        if self._gain != 1.0:
            x *= self._gain
        if r.mono:
            x[:] = 0.5 * (x[0] + x[1])
        if r.dead != "none":
            x[0 if r.dead == "left" else 1] = 0.0
        if r.gain_step_db:
            step = round(r.gain_step_at_s * self.timebase.true_rate_hz) - first_sample
            x[:, max(0, step) :] *= 10.0 ** (r.gain_step_db / 20.0)
        if self._levelling is not None:
            self._levelling.apply(x)
        self._drop(x, first_sample)
        if r.clip_dbfs is not None:
            limit = 10.0 ** (r.clip_dbfs / 20.0)
            np.clip(x, -limit, limit, out=x)
        if self._noise is not None:
            x += self._random.standard_normal(x.shape, dtype=np.float32) * np.float32(self._noise)
        if r.offset_left or r.offset_right:
            x += np.array([[r.offset_left], [r.offset_right]])
        y = np.ascontiguousarray(x.T)
        if r.bits != "float":
            steps = 2.0 ** (r.bits - 1)
            y *= steps
            np.rint(y, out=y)
            np.clip(y, -steps, steps - 1.0, out=y)
            y *= 1.0 / steps
        y = _without(y, r.missing, first_sample, self.timebase.true_rate_hz)
        return y if r.bits == 32 else y.astype(np.float32)

    def _drop(self, x: np.ndarray, first_sample: int) -> None:
        rate = self.timebase.true_rate_hz
        for drop in self.recorder.drop_outs:
            a = max(0, round(drop.at_s * rate) - first_sample)
            b = min(x.shape[1], round((drop.at_s + drop.length_s) * rate) - first_sample)
            if a < b:
                channels = {"both": slice(0, 2), "left": slice(0, 1), "right": slice(1, 2)}[drop.channel]
                x[channels, a:b] *= 10.0 ** (-drop.depth_db / 20.0)


def _without(y: np.ndarray, missing: Sequence[Missing], first_sample: int, rate_hz: float) -> np.ndarray:
    if not missing:
        return y
    keep = np.ones(y.shape[0], bool)
    for lost in missing:
        a = round(lost.at_s * rate_hz) - first_sample
        keep[max(0, a) : max(0, a + lost.samples)] = False
    return y[keep]


class _Levelling:
    """Automatic gain, worked out 64 times a chunk (about every 5 ms at 96 kHz) and interpolated in between."""

    def __init__(self, settings: AutomaticGain, timebase: Timebase) -> None:
        self.hop = max(1, timebase.chunk // 64)
        hop_s = self.hop / timebase.true_rate_hz
        self.target = 10.0 ** (settings.target_dbfs / 20.0) / np.sqrt(2.0)
        self.highest = 10.0 ** (settings.highest_gain_db / 20.0)
        self.attack = 1.0 - np.exp(-hop_s / settings.attack_s)
        self.release = 1.0 - np.exp(-hop_s / settings.release_s)
        self.gain = 1.0

    def apply(self, x: np.ndarray) -> None:
        for start in range(0, x.shape[1], self.hop):
            part = x[:, start : start + self.hop]
            rms = max(np.sqrt(np.mean(part**2, axis=1)).max(), 1e-12)
            wanted = min(self.target / rms, self.highest)
            share = self.attack if wanted < self.gain else self.release
            new = self.gain * (wanted / self.gain) ** share
            part *= np.linspace(self.gain, new, part.shape[1], endpoint=False)
            self.gain = new


def as_integers(block: np.ndarray, bits: int) -> np.ndarray:
    """Samples as whole numbers for a sound file writer: int16 for 16 bits, else int32 with the bits on top."""
    if bits == 16:
        return np.asarray(np.rint(block * 32768.0), np.int16)
    return np.asarray(np.rint(np.asarray(block, float) * 2.0**31).clip(-(2.0**31), 2.0**31 - 1), np.int32)
