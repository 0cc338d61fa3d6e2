"""All that is known of a side once its bands are named: what the doubts about it are judged from."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.bands.channels_found import ChannelsFound
from spindlewright.bands.finder import Found
from spindlewright.bands.layout import Layout
from spindlewright.bands.nominals import Nominals
from spindlewright.signal.survey_tracks import SurveyResult


@dataclass(frozen=True, slots=True)
class SideFound:
    """The survey, the pieces found in it, the named bands, their nominals and channels, the disc's speed."""

    survey: SurveyResult
    found: Found
    bands: tuple[Band, ...]
    nominals: Nominals
    channels: ChannelsFound
    rpm: float
    layout: Layout | None
    mains_hz: float | None

    @property
    def tones(self) -> list[Band]:
        return [b for b in self.bands if b.kind in TONE_KINDS]
