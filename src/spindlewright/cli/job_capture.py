"""``spindlewright job capture``: recordings taken into a job and measured."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json, Mains, Rpm, rpm_from
from spindlewright.cli.progress import progress_bar
from spindlewright.cli.shop_access import JobNumber, json_line, opened_shop
from spindlewright.cli.trouble import WrongUseError, explain, print_trouble

if TYPE_CHECKING:
    from spindlewright.shop.measuring import MeasuringQueue
    from spindlewright.shop.store import Shop
    from spindlewright.shop.views.recordings import CaptureOptions, CaptureView

LOOK_EVERY_S = 0.1


def capture(
    number: JobNumber,
    /,
    *files: Annotated[Path, Parameter(help="Recordings (WAV, FLAC and what else libsndfile opens).")],
    stage: Annotated[
        Literal["before", "work", "set-up", "after"], Parameter(help="Stage: before, work, set-up or after.")
    ],
    layout: Annotated[str, Parameter(help='Test disc: a name from "spindlewright disc list".')] = "",
    rpm: Rpm = None,
    limits: Annotated[str, Parameter(help="Named set of limits (default: as in the settings).")] = "",
    mains: Mains = None,
    chain: Annotated[
        Literal["riaa", "flat", "unknown"], Parameter(help="What stood between cartridge and recorder.")
    ] = "riaa",
    lifted: Annotated[bool, Parameter(help="The arm was lifted the whole time; no disc was played.")] = False,
    headshell: Annotated[str, Parameter(help="The shop's own headshell that was used, by name.")] = "",
    note: Annotated[str, Parameter(help="Anything else about the recording.")] = "",
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """Take recordings into a job, and measure them. Each is kept as it came, whatever the measuring says."""
    if not files:
        raise WrongUseError(f"No recording was named. Type: spindlewright job capture {number} FILE --stage {stage}")
    from spindlewright.shop.views.recordings import CaptureOptions

    options = CaptureOptions(
        disc=layout,
        rpm=rpm_from(rpm),
        chain=chain,
        mains_hz=float(mains) if mains else None,
        limits=limits,
        arm_lifted=lifted,
        headshell=headshell,
        note=note,
    )
    with opened_shop(data) as shop:
        views = [_measured_one(shop, number, stage.replace("-", "_"), file, options) for file in files]
    for view in views:
        if view is not None:
            _print(view, json)
    return 0 if all(view is not None and view.state == "measured" for view in views) else 2


def _measured_one(shop: Shop, number: str, stage: str, file: Path, options: CaptureOptions) -> CaptureView | None:
    """The recording, taken in and measured; None after a line on standard error when it could not be taken in."""
    from spindlewright.shop.measuring import MeasuringQueue
    from spindlewright.shop.recordings import capture_of, take_in

    try:
        with file.open("rb") as stream:
            view = take_in(shop, number, stage, file.name, stream, options)
    except OSError as problem:
        print_trouble(explain(problem, str(file)))
        return None
    queue = MeasuringQueue(shop)
    queue.start()
    try:
        with progress_bar(file.name) as progress:
            _wait(queue, view.id, progress)
    finally:
        queue.stop()
    return capture_of(shop, view.id)


def _wait(queue: MeasuringQueue, capture_id: int, progress: Callable[[float, str], None] | None) -> None:
    while (now := queue.progress_of(capture_id)).state in ("stored", "measuring"):
        if progress is not None:
            progress(now.share, now.words)
        time.sleep(LOOK_EVERY_S)


def _print(view: CaptureView, as_json: bool) -> None:
    if view.state != "measured":
        print_trouble(f"{view.file_name} is kept, but could not be measured: {view.problem}")
    if as_json:
        sys.stdout.write(json_line(view))
        return
    if view.measurement is None:
        return
    from spindlewright.cli.paper import Paper
    from spindlewright.cli.printed_measurement import print_measurement

    print_measurement(Paper(), dict(view.measurement.json_object))
