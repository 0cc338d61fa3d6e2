"""The first pass: the whole recording once, for the survey that finds the bands and for the state of the samples."""

from __future__ import annotations

from typing import TYPE_CHECKING

from spindlewright.capture.inspection import Inspected, Inspection
from spindlewright.capture.recording import Recording
from spindlewright.signal.survey import Survey
from spindlewright.signal.survey_tracks import SurveyResult

if TYPE_CHECKING:
    from spindlewright.measurement import Progress


def listen_through(recording: Recording, report: Progress) -> tuple[SurveyResult, Inspected]:
    """Survey and inspection of every block; ``report`` is called with the share of this pass."""
    info = recording.info
    survey, inspection = Survey(info.sample_rate_hz), Inspection(info.sample_rate_hz, info.channels, info.bits)
    done = 0
    for block in recording.blocks(frames=survey.chunk_frames):
        inspection.feed(block)
        survey.feed(block)
        done += len(block)
        report(min(1.0, done / max(1, info.frames)), "listening through")
    return survey.result(), inspection.result()
