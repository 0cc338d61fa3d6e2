"""All charts of one recording, in the order in which they are read."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from spindlewright.charts import azimuth_from_the_front as azimuth
from spindlewright.charts import deviation_over_time as over_time
from spindlewright.charts import deviation_spectrum as spectrum
from spindlewright.charts import hum_lines as hum
from spindlewright.charts import turn_by_turn as by_turn
from spindlewright.charts import turns_map as turn_map
from spindlewright.charts.chart import FOR_A_PAGE, Chart, JsonObject, Wanted


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
    drawn = (draw() for _, draw in chart_makers(measurement, rates, wanted))
    return tuple(chart for chart in drawn if chart is not None)


def chart_makers(
    measurement: JsonObject,
    rates: Mapping[str, Sequence[float]] | None = None,
    wanted: Wanted = FOR_A_PAGE,
) -> tuple[tuple[str, Callable[[], Chart | None]], ...]:
    """Title and maker of each chart, for a page that shows each as soon as it is drawn."""
    readings = measurement.get("readings") or ()
    return (
        (over_time.TITLE, lambda: over_time.deviation_over_time(measurement, wanted=wanted)),
        (spectrum.TITLE, lambda: spectrum.deviation_spectrum(measurement, rates, wanted=wanted)),
        (by_turn.TITLE, lambda: by_turn.turn_by_turn(measurement, wanted=wanted)),
        (turn_map.TITLE, lambda: turn_map.turns_map(measurement, wanted=wanted)),
        (hum.TITLE, lambda: hum.hum_lines(readings, wanted=wanted)),
        (azimuth.TITLE, lambda: azimuth.azimuth_from_the_front(readings, wanted=wanted)),
    )
