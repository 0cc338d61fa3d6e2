"""``spindlewright measure``: readings from recordings."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from cyclopts import Parameter

from spindlewright.cli.options import (
    DataFolder,
    Json,
    LayoutName,
    Mains,
    Rpm,
    arm_from,
    layout_from,
    limits_from,
    rpm_from,
)
from spindlewright.cli.progress import progress_bar
from spindlewright.cli.trouble import WrongUseError, explain, print_trouble

if TYPE_CHECKING:
    from spindlewright.measurement import Measurement


def measure(
    *files: Annotated[Path, Parameter(help="Recordings of a test disc (WAV, FLAC and what else libsndfile opens).")],
    rpm: Rpm = None,
    layout: LayoutName = None,
    limits: Annotated[
        str | None, Parameter(help="Acceptance limits: a name, or a TOML file (default: hi-fi-minimum).")
    ] = None,
    mains: Mains = None,
    chain: Annotated[
        Literal["riaa", "flat", "unknown"],
        Parameter(
            help="What stood between cartridge and recorder: an equalising preamplifier, a flat one, not known."
        ),
    ] = "riaa",
    arm: Annotated[
        str | None,
        Parameter(
            help="Effective length and pivot-to-spindle distance, like 230mm,212mm or 230,5;212,3 (checked and kept "
            "for the disc's eccentricity in mm, which no reading of this version tells yet)."
        ),
    ] = None,
    curves: Annotated[bool, Parameter(help="Add the curves behind the readings.")] = False,
    json: Json = False,
    fail_outside: Annotated[bool, Parameter(help="Exit with status 1 when a reading is outside its limit.")] = False,
    data: DataFolder = None,
) -> int:
    """Readings from a recording: speed, wow and flutter, channels, hum and noise, each with its uncertainty."""
    if not files:
        raise WrongUseError("No recording was named. Type: spindlewright measure RECORDING.wav")
    options: dict[str, Any] = {
        "rpm": rpm_from(rpm),
        "layout": layout_from(layout, data),
        "mains_hz": float(mains) if mains else None,
        "chain": chain,
        "arm": arm_from(arm),
        "curves": curves,
    }
    if (limit_set := limits_from(limits)) is not None:
        options["limits"] = limit_set
    failed, outside = False, False
    for file in files:
        measurement = _measure_one(file, options)
        if measurement is None:
            failed = True
            continue
        _print(measurement, json)
        outside = outside or any(reading.verdict == "outside" for reading in measurement.readings)
    return 2 if failed else 1 if outside and fail_outside else 0


def _measure_one(file: Path, options: dict[str, Any]) -> Measurement | None:
    """The measurement; None after a line on standard error when the file could not be measured."""
    from spindlewright.capture.errors import CaptureError
    from spindlewright.measure import measure as measure_recording

    try:
        with progress_bar(file.name) as progress:
            return measure_recording(file, progress=progress, **options)
    except CaptureError as problem:  # names the file itself
        print_trouble(str(problem))
        return None
    except Exception as problem:
        print_trouble(explain(problem, str(file)))
        return None


def _print(measurement: Measurement, as_json: bool) -> None:
    from spindlewright.contract import to_json_line, to_json_object

    json_object = to_json_object(measurement)
    if as_json:
        sys.stdout.write(to_json_line(json_object) + "\n")
        sys.stdout.flush()
        return
    from spindlewright.cli.paper import Paper
    from spindlewright.cli.printed_measurement import print_measurement

    print_measurement(Paper(), json_object)
