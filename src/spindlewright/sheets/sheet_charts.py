"""The charts of a sheet: before against after in one, then each chart of the recordings, both stages side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from spindlewright.charts.before_against_after import before_against_after
from spindlewright.charts.chart import Chart, Wanted
from spindlewright.charts.comparison_rows import comparison_rows, limits_of
from spindlewright.charts.of_a_recording import charts_of_a_recording
from spindlewright.setup.rotating_parts import DimensionError, rates_to_mark, rotating_parts
from spindlewright.sheets.sheet_content import ChartPart, Drawing
from spindlewright.shop.views.card import JobCard
from spindlewright.shop.views.recordings import CaptureView
from spindlewright.shop.views.stages import TITLES

MOST_ROWS = 12
"""Rows of before against after on a sheet: those with a limit, then those that changed; the table has all."""
_STAGES = ("before", "after")


def chart_parts(card: JobCard) -> tuple[ChartPart, ...]:
    """All charts that the job has the curves and readings for (``job_card`` with ``curves``)."""
    return (*_compared(card), *_of_recordings(card))


def _compared(card: JobCard) -> tuple[ChartPart, ...]:
    limits = limits_of(view.reading for view in card.readings if view.stage == "after" and not view.withdrawn)
    held, shifted = [], []
    for one in card.comparisons:
        if (one.quantity, one.channel) in limits:
            held.append(one)
        elif one.outcome != "no change shown":
            shifted.append(one)
    shown = (held + shifted)[:MOST_ROWS]
    chart = before_against_after(comparison_rows(shown, limits), Wanted("sheet", narrow=False))
    if chart is None:
        return ()
    left_out = len(card.comparisons) - len(shown)
    note = chart.note
    if left_out:
        note += f" The other {left_out} quantities stand in the table."
    return (ChartPart(chart.title, (Drawing("", chart.sentence, chart.svg, note),)),)


def _of_recordings(card: JobCard) -> tuple[ChartPart, ...]:
    """The charts of the recording with the most curves of each stage; one stage alone is drawn wide."""
    chosen = {stage: _telling(card.captures_of(stage)) for stage in ("before", "after")}
    there = [stage for stage in _STAGES if chosen[stage] is not None]
    by_name: dict[str, list[tuple[str, Chart]]] = {}
    objects = {stage: _stored(chosen[stage]) for stage in there}
    for stage, stored in objects.items():
        others = [other for key, other in objects.items() if key != stage]
        wanted = Wanted(f"{stage}-sheet", narrow=True, alongside=next(iter(others), None))
        for chart in charts_of_a_recording(stored, _rates(card, stored), wanted):
            by_name.setdefault(chart.name, []).append((stage, chart))
    parts = []
    for several in by_name.values():
        beside = len(several) > 1
        drawings = tuple(
            Drawing(TITLES[stage], chart.sentence, chart.narrow_svg or chart.svg if beside else chart.svg)
            for stage, chart in several
        )
        parts.append(ChartPart(several[0][1].title, drawings))
    return tuple(parts)


def _stored(capture: CaptureView | None) -> Mapping[str, Any]:
    return capture.measurement.json_object if capture is not None and capture.measurement is not None else {}


def _telling(captures: Sequence[CaptureView]) -> CaptureView | None:
    """The recording with the most curves, then the most readings; the first of equals."""
    measured = [capture for capture in captures if capture.measurement is not None]

    def richness(capture: CaptureView) -> tuple[int, int]:
        stored = capture.measurement.json_object if capture.measurement else {}
        return len(stored.get("curves") or {}), len(stored.get("readings") or ())

    return max(measured, key=richness, default=None)


def _rates(card: JobCard, stored: Mapping[str, object]) -> dict[str, tuple[float, ...]] | None:
    """Rates of the rotating parts at the speed of this recording; None when they can't be told."""
    readings = stored.get("readings")
    for reading in readings if isinstance(readings, list) else ():
        if reading["quantity"] == "rotation_rate" and reading["conditions"].get("main"):
            deck = card.deck
            try:
                parts = rotating_parts(
                    float(reading["value"]), deck.drive, deck.dimensions, deck.plate_frequency_hz, deck.motor
                )
            except DimensionError:
                return None
            return rates_to_mark(parts)
    return None
