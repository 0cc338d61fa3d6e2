"""All charts of one recording, in the order in which they are read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from spindlewright.charts.azimuth_from_the_front import azimuth_from_the_front
from spindlewright.charts.chart import FOR_A_PAGE, Chart, JsonObject, Wanted
from spindlewright.charts.deviation_over_time import deviation_over_time
from spindlewright.charts.deviation_spectrum import deviation_spectrum
from spindlewright.charts.hum_lines import hum_lines
from spindlewright.charts.turn_by_turn import turn_by_turn
from spindlewright.charts.turns_map import turns_map


def charts_of_a_recording(
    measurement: JsonObject,
    rates: Mapping[str, Sequence[float]] | None = None,
    wanted: Wanted = FOR_A_PAGE,
) -> tuple[Chart, ...]:
    """What a stored measurement has the curves and readings for; the others are left out.

    ``measurement`` is the object of ``contract.to_json_object``, ``rates`` as for ``deviation_spectrum``.

    >>> charts_of_a_recording({"readings": [], "curves": None})
    ()
    """
    readings = measurement.get("readings") or ()
    found = (
        deviation_over_time(measurement, wanted=wanted),
        deviation_spectrum(measurement, rates, wanted=wanted),
        turn_by_turn(measurement, wanted=wanted),
        turns_map(measurement, wanted=wanted),
        hum_lines(readings, wanted=wanted),
        azimuth_from_the_front(readings, wanted=wanted),
    )
    return tuple(chart for chart in found if chart is not None)
