"""Lines below the reach of the 50 ms frames: tones of 7 to 160 Hz from the survey's slow stream."""

from __future__ import annotations

import numpy as np

from spindlewright.bands.lines import Lines, lines_of
from spindlewright.signal.survey_spectrum import LineFinder, joined
from spindlewright.signal.survey_tracks import SurveyResult

LOW_FROM_HZ = 7.0
LOW_TO_HZ = 165.0
WINDOW_S = 0.32
BATCH = 2000


def low_lines(survey: SurveyResult) -> Lines | None:
    """Strongest low line round the middle of every frame; None when the recording is shorter than a window.

    The window lasts 0.32 s: edges are known to about a tenth of a second.
    """
    length = 2 * round(WINDOW_S * survey.slow_rate_hz / 2)
    count = survey.slow.shape[1]
    if count < length or survey.frames == 0:
        return None
    finder = LineFinder(length, survey.slow_rate_hz, LOW_FROM_HZ, LOW_TO_HZ)
    middle = np.round((np.arange(survey.frames) + 0.5) * survey.frame_s * survey.slow_rate_hz).astype(int)
    start = np.clip(middle - length // 2, 0, count - length)
    left, right = (np.lib.stride_tricks.sliding_window_view(survey.slow[c], length) for c in range(2))
    parts = [finder.find(left[start[i : i + BATCH]], right[start[i : i + BATCH]]) for i in range(0, start.size, BATCH)]
    return lines_of(joined(parts), survey.frame_s)
