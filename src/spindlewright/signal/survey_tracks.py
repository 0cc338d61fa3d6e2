"""What the survey of a recording keeps: compact tracks of frame features (about 2 kB a second)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class PeakTrack:
    """Strongest spectral line of each frame in one frequency range.

    ``hz`` its frequency; ``left``, ``right`` the squared peak amplitude re full scale in each channel (1 is 0 dBFS);
    ``cross`` conj(left) * right of the same line (its angle is the phase of the right output re the left);
    ``floor`` the typical squared amplitude of a bin without a line, both channels together.
    """

    hz: Floats
    left: Floats
    right: Floats
    cross: NDArray[np.complex64]
    floor: Floats

    @property
    def power(self) -> Floats:
        return self.left + self.right


@dataclass(frozen=True, slots=True)
class SurveyResult:
    """Frame features of a whole recording.

    Frame ``j`` covers ``j * frame_s`` to ``(j + 1) * frame_s``. ``mid`` looks at ``mid_from_hz`` to ``mid_to_hz``
    with the whole frame, ``high`` (None when the recording ends there) above it with a short window in its middle.
    ``total`` (frames, 2): mean square of the decimated sound per channel, times two (a full-scale sine is 1), its
    mean taken off. ``envelope`` the same of both channels together every ``envelope_s``; ``high_envelope`` what lies
    above the decimated sound. ``slow`` (2, n): the sound below ``slow_to_hz`` at ``slow_rate_hz``, output ``i``
    centred on time ``i / slow_rate_hz``.
    """

    rate_hz: float
    duration_s: float
    frame_s: float
    mid: PeakTrack
    mid_from_hz: float
    mid_to_hz: float
    high: PeakTrack | None
    total: Floats
    envelope_s: float
    envelope: Floats
    high_envelope: Floats | None
    slow_rate_hz: float
    slow_to_hz: float
    slow: Floats
    cut_off: bool
    """True when the recording was longer than the survey looks at."""

    @property
    def frames(self) -> int:
        return int(self.mid.hz.size)
