"""The bands of a side with their nominals, findings and fitness: the one entry to this room."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from spindlewright.bands.band import TONE_KINDS, Band, Levels
from spindlewright.bands.finder import find_pieces
from spindlewright.bands.finding import Finding
from spindlewright.bands.layout import Layout
from spindlewright.bands.lines import decibels
from spindlewright.bands.nominals import choose_nominals
from spindlewright.bands.piece import Piece
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.signal.survey_tracks import SurveyResult

Polarity = Literal["known", "assumed", "inverted", "swapped"]


@dataclass(frozen=True, slots=True)
class Named:
    """What a side holds. ``rpm`` is the speed the disc was cut for, as given or by the layout, else 33⅓."""

    bands: tuple[Band, ...]
    findings: tuple[Finding, ...]
    fitness: tuple[FitnessItem, ...]
    polarity: Polarity
    rpm: float


def name_bands(
    survey: SurveyResult, layout: Layout | None = None, rpm: float | None = None, mains_hz: float | None = None
) -> Named:
    """Find and name all bands of a side."""
    cut_rpm = rpm if rpm is not None else layout.rpm if layout is not None else 100.0 / 3.0
    pieces = find_pieces(survey)
    tones = [p for p in pieces if p.hz is not None]
    nominals = choose_nominals([p.hz or 0.0 for p in tones], [p.end_s - p.start_s for p in tones], cut_rpm)
    of_tone = iter(nominals.nominal_hz)
    bands = tuple(
        _band(index, piece, next(of_tone) if piece.hz is not None else None) for index, piece in enumerate(pieces)
    )
    polarity: Polarity = "known" if any(b.kind in ("tone", "vertical") for b in bands) else "assumed"
    return Named(bands, (), (), polarity, cut_rpm)


def _band(index: int, piece: Piece, nominal_hz: float | None) -> Band:
    return Band(
        index=index,
        start_s=piece.start_s,
        end_s=piece.end_s,
        kind=piece.kind,
        level_dbfs=Levels(float(decibels(piece.left)), float(decibels(piece.right))),
        frequency_hz=piece.hz if piece.kind in TONE_KINDS else None,
        nominal_hz=nominal_hz,
        from_hz=piece.from_hz,
        to_hz=piece.to_hz,
        right_phase_deg=piece.phase_deg,
    )
