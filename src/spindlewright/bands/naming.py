"""The bands of a side with their nominals, findings and fitness: the one entry to this room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from spindlewright.bands.band import TONE_KINDS, Band, LayoutBand, Levels
from spindlewright.bands.channels_found import ChannelsFound, Polarity, judge_channels, with_kinds
from spindlewright.bands.doubts import doubts_of
from spindlewright.bands.finder import Found, find_pieces
from spindlewright.bands.finding import Finding
from spindlewright.bands.laid_out import not_as_laid_out
from spindlewright.bands.layout import Layout
from spindlewright.bands.lines import decibels
from spindlewright.bands.matching import Match, match_layout
from spindlewright.bands.nominals import Nominals, choose_nominals, nominal_at
from spindlewright.bands.piece import Piece
from spindlewright.bands.quiet import SHORTEST_SILENCE_S
from spindlewright.bands.side_found import SideFound
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.signal.survey_tracks import SurveyResult

USUAL_RPM = 100.0 / 3.0


@dataclass(frozen=True, slots=True)
class Named:
    """What a side holds. ``rpm`` is the speed the disc was cut for, as given or by the layout, else 33⅓.

    ``speed_ratio`` is the common ratio of found to nominal frequencies.
    """

    bands: tuple[Band, ...]
    findings: tuple[Finding, ...]
    fitness: tuple[FitnessItem, ...]
    polarity: Polarity
    rpm: float
    speed_ratio: float = 1.0


def name_bands(
    survey: SurveyResult, layout: Layout | None = None, rpm: float | None = None, mains_hz: float | None = None
) -> Named:
    """Find and name all bands of a side.

    ``layout`` decides nominals, walls, silent grooves and the run-out where its bands match; ``rpm`` is the speed
    the disc was cut for (else the layout's, else 33⅓); ``mains_hz`` 50 or 60 where known.
    """
    cut_rpm = rpm if rpm is not None else layout.rpm if layout is not None else USUAL_RPM
    found = find_pieces(survey, cut_rpm, mains_hz)
    clock = found.clock_ratio
    pieces = list(found.pieces)
    scaled = [p if p.hz is None else replace(p, hz=p.hz / clock) for p in pieces]
    match = match_layout(scaled, layout, cut_rpm) if layout is not None else None
    if match is not None and layout is not None and any(c and c.nominal_hz for c in match.cut):
        cut = list(match.cut)
        nominal_hz = [_laid_out_nominal(p, c, match, layout) for p, c in zip(scaled, cut, strict=True) if p.hz]
        chosen = Nominals(tuple(nominal_hz), match.speed_ratio, None, match.turned)
    else:
        cut = list(match.cut) if match is not None else [None] * len(pieces)
        chosen = _chosen(scaled, cut_rpm)
    of_tone = iter(chosen.nominal_hz)
    drafts = [
        _band(piece, next(of_tone) if piece.hz is not None else None, entry)
        for piece, entry in zip(pieces, cut, strict=True)
    ]
    listed = [b for b in drafts if b.kind != "silence" or b.cut is not None or b.duration_s >= SHORTEST_SILENCE_S]
    bands = [replace(band, index=index) for index, band in enumerate(listed)]
    channels = judge_channels(bands)
    named = with_kinds(bands, channels)
    side = SideFound(survey, found, named, chosen, channels, cut_rpm, layout, mains_hz)
    return Named(
        named,
        (
            *found.findings,
            *_channel_findings(channels),
            *_layout_findings(layout, match, named),
            *not_as_laid_out(bands, channels),
        ),
        doubts_of(side),
        channels.polarity,
        cut_rpm,
        chosen.speed_ratio,
    )


def _chosen(pieces: Sequence[Piece], rpm: float) -> Nominals:
    tones = [p for p in pieces if p.hz is not None]
    return choose_nominals([p.hz or 0.0 for p in tones], [p.end_s - p.start_s for p in tones], rpm)


def _laid_out_nominal(piece: Piece, cut: LayoutBand | None, match: Match, layout: Layout) -> float | None:
    """The layout's nominal, corrected for what this copy of the disc is known to be off by."""
    assert piece.hz is not None
    nominal = cut.nominal_hz if cut is not None else nominal_at(piece.hz, match.speed_ratio)
    return None if nominal is None else nominal * (1.0 + layout.speed_error_percent / 100.0)


def _band(piece: Piece, nominal_hz: float | None, cut: LayoutBand | None) -> Band:
    kind = piece.kind
    if cut is not None and cut.kind in ("silence", "lifted", "run_out", "noise"):
        kind = cut.kind
    return Band(
        index=0,
        start_s=piece.start_s,
        end_s=piece.end_s,
        kind=kind,
        level_dbfs=Levels(float(decibels(piece.left)), float(decibels(piece.right))),
        frequency_hz=piece.hz if kind in TONE_KINDS else None,
        nominal_hz=nominal_hz,
        from_hz=piece.from_hz,
        to_hz=piece.to_hz,
        cut=cut,
        right_phase_deg=piece.phase_deg,
    )


def _channel_findings(channels: ChannelsFound) -> list[Finding]:
    evidence = {"bands": list(channels.evidence), "by_layout": channels.certain}
    if channels.polarity == "inverted":
        text = "One channel is upside down against the other: tones cut sideways come out opposite in the channels."
        return [Finding("inverted", text, evidence)]
    if channels.polarity == "swapped":
        text = (
            "Left and right are exchanged."
            if channels.certain
            else "A suspicion only: left and right may be exchanged, because the right-only band comes first and most "
            "discs cut left first."
        )
        return [Finding("swapped", text, evidence)]
    return []


def _layout_findings(layout: Layout | None, match: Match | None, bands: Sequence[Band]) -> list[Finding]:
    """Bands of the layout that were not found; or that it is not this disc at all."""
    if layout is None:
        return []
    if match is None:
        text = (
            f"The layout {layout.name} does not fit what was found: fewer than half of the tones agree. It was left "
            "out; choose the layout of this disc and side."
        )
        return [Finding("layout_not_fitting", text, {"layout": layout.name})]
    met = {id(b.cut) for b in bands if b.cut is not None}
    missing = [b.name for b in layout.bands if id(b) not in met]
    if not missing:
        return []
    text = f"Not found of the layout {layout.name}: {', '.join(missing)}."
    return [Finding("bands_missing", text, {"layout": layout.name, "bands": missing})]


__all__ = ["Found", "Named", "name_bands"]
