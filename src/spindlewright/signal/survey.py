"""Survey of a recording: one pass over all samples that keeps what the finding of bands needs.

The sound is decimated to 12 to 24 kHz by one matrix product and looked at in frames of about 50 ms; what lies above
that gets one short full-rate window per frame; what lies below 300 Hz is kept as a slow stream.
"""

from __future__ import annotations

import copy

import numpy as np
from numpy.typing import NDArray

from spindlewright.signal.blocks import Rebuffer
from spindlewright.signal.decimation import Decimator
from spindlewright.signal.fast_length import fast_length
from spindlewright.signal.survey_spectrum import LineFinder, joined
from spindlewright.signal.survey_tracks import PeakTrack, SurveyResult

LONGEST_S = 2 * 3600.0
"""Nothing after this time is looked at (a side lasts half an hour): memory stays bounded."""
CHUNK_FRAMES = 64
ENVELOPE_PER_FRAME = 10
MID_FROM_HZ = 150.0
SLOWEST_HZ = 750.0

Floats = NDArray[np.float32]


class Survey:
    """Fed float32 blocks (n, 2) of any size, gives the same result bit for bit whatever their size.

    Sample rates from 4 kHz up. ``result()`` may be asked for at any time and disturbs nothing.

    >>> survey = Survey(48000.0)
    >>> survey.feed(np.zeros((48000, 2), dtype=np.float32))
    >>> survey.result().frames
    20
    """

    def __init__(self, rate_hz: float) -> None:
        if not rate_hz >= 4000:
            raise ValueError(f"sample rate {rate_hz} Hz: bands can be found from 4000 Hz up")
        self.rate_hz = float(rate_hz)
        self._factor = int(rate_hz // 12000) if rate_hz >= 24000 else 1
        mid_rate = self.rate_hz / self._factor
        self._frame = ENVELOPE_PER_FRAME * round(mid_rate * 0.05 / ENVELOPE_PER_FRAME)
        self.frame_s = self._frame / mid_rate
        self.chunk_frames = CHUNK_FRAMES * self._frame * self._factor
        self._rebuffer = Rebuffer(self.chunk_frames, 2)
        self._mid_to_hz = (0.31 if self._factor > 1 else 0.47) * mid_rate
        self._mid_finder = LineFinder(self._frame, mid_rate, MID_FROM_HZ, self._mid_to_hz)
        self._high_frame = fast_length(int(self.rate_hz / 187.5))
        self._high_finder: LineFinder | None = None
        if self._factor > 1:
            high_to = min(0.47 * self.rate_hz, 30000.0)
            self._high_finder = LineFinder(self._high_frame, self.rate_hz, 0.97 * self._mid_to_hz, high_to)
        self._slow_factor = max(1, round(mid_rate / SLOWEST_HZ))
        self._slow_rate = mid_rate / self._slow_factor
        self._seen = 0
        self._kept = _Kept(self._factor, self._slow_factor)

    def feed(self, block: Floats) -> None:
        """The next samples, float32 (n, 2), full scale 1."""
        room = max(0, int(LONGEST_S * self.rate_hz) - self._seen)
        self._seen += len(block)
        for chunk in self._rebuffer.feed(block[:room]):
            self._take(self._kept, chunk)

    def result(self) -> SurveyResult:
        """All features up to the last whole frame fed."""
        kept = self._kept.branch()
        rest = self._rebuffer.rest()
        flush = np.zeros((self._factor * (self._slow_factor * 8 + 8), 2), dtype=np.float32)
        self._take(kept, np.concatenate((rest, flush)), only=len(rest) // (self._frame * self._factor))
        return SurveyResult(
            rate_hz=self.rate_hz,
            duration_s=self._seen / self.rate_hz,
            frame_s=self.frame_s,
            mid=joined(kept.mid),
            mid_from_hz=MID_FROM_HZ,
            mid_to_hz=self._mid_to_hz,
            high=joined(kept.high) if self._high_finder else None,
            total=_rows(kept.total, 2),
            envelope_s=self.frame_s / ENVELOPE_PER_FRAME,
            envelope=_rows(kept.envelope, 1)[:, 0],
            high_envelope=_rows(kept.high_envelope, 1)[:, 0] if self._high_finder else None,
            slow_rate_hz=self._slow_rate,
            slow_to_hz=0.38 * self._slow_rate,
            slow=np.concatenate([np.zeros((2, 0), np.float32), *kept.slow], axis=1),
            cut_off=self._seen > LONGEST_S * self.rate_hz,
        )

    def _take(self, kept: _Kept, chunk: Floats, only: int | None = None) -> None:
        """Features of one chunk; ``only`` that many frames of it at the end of the recording."""
        frames = CHUNK_FRAMES if only is None else only
        mid = kept.decimator.feed(chunk) if kept.decimator else np.ascontiguousarray(chunk.T)
        slow = kept.slow_decimator.feed(np.ascontiguousarray(mid.T)) if kept.slow_decimator else mid
        kept.slow.append(slow)
        mid = np.concatenate((kept.mid_waiting, mid), axis=1)
        # the decimator hands out a little late: whole frames only, the rest waits
        ready = min(frames + kept.owed, mid.shape[1] // self._frame)
        kept.owed += frames - ready
        used = ready * self._frame
        kept.mid_waiting = mid[:, used:].copy()
        squares = self._mid_features(kept, mid[:, :used].reshape(2, ready, self._frame))
        if self._high_finder is not None:
            self._high_features(kept, chunk, frames)
            kept.mid_power.append(squares)
            self._high_envelope(kept)

    def _mid_features(self, kept: _Kept, framed: Floats) -> Floats:
        """Line, total and envelope of framed sound (2, frames, frame); gives the raw power per envelope step."""
        frames = framed.shape[1]
        kept.mid.append(self._mid_finder.find(framed[0], framed[1]))
        steps = framed.reshape(2, frames * ENVELOPE_PER_FRAME, self._frame // ENVELOPE_PER_FRAME)
        power = np.einsum("csi,csi->cs", steps, steps) * np.float32(2.0 / steps.shape[2])
        mean = steps.sum(axis=2) / np.float32(steps.shape[2])
        frame_mean = mean.reshape(2, frames, ENVELOPE_PER_FRAME).mean(axis=2)
        total = power.reshape(2, frames, ENVELOPE_PER_FRAME).mean(axis=2) - 2 * frame_mean**2
        kept.total.append(np.maximum(total, 0).T.astype(np.float32))
        kept.envelope.append(np.maximum((power - 2 * mean**2).sum(axis=0), 0)[:, None])
        return np.asarray(power.sum(axis=0), dtype=np.float32)

    def _high_features(self, kept: _Kept, chunk: Floats, frames: int) -> None:
        """The short window in the middle of each frame, and the raw power per envelope step."""
        length = self._frame * self._factor
        framed = chunk[: frames * length].reshape(frames, length, 2)
        start = (length - self._high_frame) // 2
        window = framed[:, start : start + self._high_frame]
        assert self._high_finder is not None
        kept.high.append(self._high_finder.find(window[:, :, 0], window[:, :, 1]))
        steps = chunk[: frames * length].reshape(frames * ENVELOPE_PER_FRAME, 2 * length // ENVELOPE_PER_FRAME)
        kept.raw_power.append(np.einsum("si,si->s", steps, steps) * np.float32(4.0 / steps.shape[1]))

    def _high_envelope(self, kept: _Kept) -> None:
        """What the raw sound holds more than the decimated one, as far as both are there."""
        raw, mid = np.concatenate(kept.raw_power), np.concatenate(kept.mid_power)
        count = min(raw.size, mid.size)
        kept.high_envelope.append(np.maximum(raw[:count] - mid[:count], 0)[:, None])
        kept.raw_power, kept.mid_power = [raw[count:]], [mid[count:]]


class _Kept:
    """The growing tracks and the filters' memories of one survey."""

    def __init__(self, factor: int, slow_factor: int) -> None:
        self.decimator = Decimator(factor) if factor > 1 else None
        self.slow_decimator = Decimator(slow_factor, parts=12) if slow_factor > 1 else None
        self.mid_waiting: Floats = np.zeros((2, 0), dtype=np.float32)
        self.owed = 0
        self.mid: list[PeakTrack] = []
        self.high: list[PeakTrack] = []
        self.total: list[Floats] = []
        self.envelope: list[Floats] = []
        self.high_envelope: list[Floats] = []
        self.raw_power: list[Floats] = []
        self.mid_power: list[Floats] = []
        self.slow: list[Floats] = []

    def branch(self) -> _Kept:
        """A copy that may go on without touching this one (arrays are never changed in place)."""
        twin = copy.copy(self)
        twin.decimator, twin.slow_decimator = copy.copy(self.decimator), copy.copy(self.slow_decimator)
        for name, value in vars(self).items():
            if isinstance(value, list):
                setattr(twin, name, list(value))
        return twin


def _rows(parts: list[Floats], columns: int) -> Floats:
    return np.concatenate([np.zeros((0, columns), np.float32), *parts])
