"""Survey of a recording: one pass over all samples that keeps what the finding of bands needs.

The sound is decimated to 12 to 24 kHz by one matrix product and looked at in frames of about 50 ms; what lies above
that gets one short full-rate window per frame; what lies below 300 Hz is kept as a slow stream.
"""

from __future__ import annotations

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from spindlewright.signal.decimation import Decimator
from spindlewright.signal.survey_spectrum import LineFinder, joined
from spindlewright.signal.survey_tracks import PeakTrack, SurveyResult

LONGEST_S = 2 * 3600.0
"""Nothing after this time is looked at (a side lasts half an hour): memory stays bounded."""
CHUNK_FRAMES = 32
ENVELOPE_PER_FRAME = 10
MID_FROM_HZ = 150.0


class Survey:
    """Fed float32 blocks (n, 2) of any size, gives the same result bit for bit whatever their size.

    >>> survey = Survey(48000.0)
    >>> survey.feed(np.zeros((48000, 2), dtype=np.float32))
    >>> survey.result().frames
    19
    """

    def __init__(self, rate_hz: float) -> None:
        if not rate_hz >= 2000:
            raise ValueError(f"sample rate {rate_hz} Hz: at least 2000 Hz is needed")
        self.rate_hz = float(rate_hz)
        self._factor = max(1, int(rate_hz // 12000)) if rate_hz >= 24000 else 1
        self._mid_rate = self.rate_hz / self._factor
        self._frame = ENVELOPE_PER_FRAME * max(1, round(self._mid_rate * 0.05 / ENVELOPE_PER_FRAME))
        self._chunk = CHUNK_FRAMES * self._frame * self._factor
        self.frame_s = self._frame / self._mid_rate
        mid_to = (0.31 if self._factor > 1 else 0.47) * self._mid_rate
        self._mid_to_hz = mid_to
        self._mid_finder = LineFinder(self._frame, self._mid_rate, MID_FROM_HZ, mid_to)
        self._decimator = Decimator(self._factor) if self._factor > 1 else None
        self._high_finder: LineFinder | None = None
        self._high_frame = scipy.fft.next_fast_len(int(self.rate_hz / 187.5), real=True)
        if self._decimator is not None:
            self._high_finder = LineFinder(
                self._high_frame, self.rate_hz, 0.97 * mid_to, min(0.47 * self.rate_hz, 30000.0)
            )
        slow_factor = max(1, round(self._mid_rate / 750))
        self._slow_rate = self._mid_rate / slow_factor
        self._slow_decimator = Decimator(slow_factor, parts=12) if slow_factor > 1 else None
        self._pending: list[NDArray[np.float32]] = []
        self._pending_frames = 0
        self._seen = 0
        self._mid_waiting = np.zeros((2, 0), dtype=np.float32)
        self._mid: list[PeakTrack] = []
        self._high: list[PeakTrack] = []
        self._total: list[NDArray[np.float32]] = []
        self._envelope: list[NDArray[np.float32]] = []
        self._high_envelope: list[NDArray[np.float32]] = []
        self._raw_power: list[NDArray[np.float32]] = []
        self._slow: list[NDArray[np.float32]] = []

    def feed(self, block: NDArray[np.float32]) -> None:
        """The next samples, float32 (n, 2), full scale 1."""
        start = self._seen
        self._seen += block.shape[0]
        if start >= LONGEST_S * self.rate_hz or not block.shape[0]:
            return
        at = 0
        while self._pending_frames + block.shape[0] - at >= self._chunk:
            take = self._chunk - self._pending_frames
            if self._pending:
                chunk = np.concatenate([*self._pending, block[at : at + take]])
                self._pending, self._pending_frames = [], 0
            else:
                chunk = np.ascontiguousarray(block[at : at + take], dtype=np.float32)
            self._take(chunk)
            at += take
        if at < block.shape[0]:
            self._pending.append(np.array(block[at:], dtype=np.float32))
            self._pending_frames += block.shape[0] - at
