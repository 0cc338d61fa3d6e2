"""The one path from a recording to readings: capture, fitness, bands, readings, verdicts.

The whole file is decoded once for the survey; then only the stretches that a method wants are decoded again.
"""

from __future__ import annotations

import os
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any

from threadpoolctl import threadpool_limits

from spindlewright.bands.band import Band
from spindlewright.bands.layout import Layout
from spindlewright.capture.placing import placed
from spindlewright.capture.recording import Recording
from spindlewright.readings.side import Arm, Chain
from spindlewright.standards.limits import LimitSet, find_limits

if TYPE_CHECKING:
    from spindlewright.bands.naming import Named
    from spindlewright.capture.inspection import Inspected
    from spindlewright.measurement import CaptureInfo, Measurement, Progress
    from spindlewright.readings.reading import Finding

FIRST_PASS_SHARE = 0.5
"""Of the whole work, for the progress told."""
NAMING, SECOND_PASS = "spindlewright.bands.naming", "spindlewright.second_pass"
"""Modules loaded while the first pass runs."""


def measure(
    path: str | os.PathLike[str],
    *,
    rpm: float | None = None,
    layout: Layout | None = None,
    limits: LimitSet | str = "hi-fi-minimum",
    mains_hz: float | None = None,
    chain: Chain = "riaa",
    arm: Arm | None = None,
    curves: bool = False,
    progress: Progress | None = None,
    left_out: frozenset[str] = frozenset(),
) -> Measurement:
    """Measure one recording of a test disc.

    ``rpm`` is the speed the disc was cut for (default: the layout's, else 33⅓); ``arm`` the arm's lengths in mm.
    ``left_out`` names budget lines not to count (for coverage tests of what can't be drawn at random).
    Raises ``CaptureError`` when the file can't be read. Example::

        >>> from spindlewright import measure
        >>> measure("side-a.wav", layout=None).reading("speed_deviation")       # doctest: +SKIP
        <speed_deviation: -0.812 ± 0.096 %, within>
    """
    limit_set = find_limits(limits) if isinstance(limits, str) else limits
    report = progress or _tell_nobody
    with ExitStack() as limits_kept, Recording(path) as recording:
        limits_kept.enter_context(threadpool_limits(1, user_api="blas"))
        first = _part(report, 0.0, FIRST_PASS_SHARE)
        named, inspected = _first_pass(recording, layout, rpm, mains_hz, first, (NAMING, SECOND_PASS))
        from spindlewright import second_pass
        from spindlewright.measurement import Measurement
        from spindlewright.readings.fitness_effects import chain_findings, spared
        from spindlewright.readings.missing_samples import missing_samples
        from spindlewright.readings.verdicts import judged

        limits_kept.enter_context(threadpool_limits(1, user_api="blas"))  # for what was loaded meanwhile
        side = second_pass.side_of(recording.info.sample_rate_hz, named, layout, mains_hz, chain, arm, left_out)
        heard = replace(side, bands=()) if inspected.is_silent else side
        observations, jumps_s = second_pass.listen(recording, heard, _part(report, FIRST_PASS_SHARE, 1.0))
        outcome = second_pass.conclude(observations, side)
        spans = [(band.index, band.start_s, band.end_s) for band in side.bands]
        of_file = placed((*recording.fitness(), *inspected.fitness), spans)
        told = {(item.code, item.channel) for item in of_file if item.severity == "stop"}
        of_bands = [item for item in named.fitness if (item.code, item.channel) not in told]
        fitness = (*of_file, *of_bands, *outcome.fitness, *missing_samples(jumps_s))
        report(1.0, "done")
        return Measurement(
            capture=_capture_info(recording),
            fitness=fitness,
            bands=side.bands,
            readings=judged(spared(outcome.readings, fitness, side), limit_set, fitness),
            findings=(
                *_remarks(recording),
                *named.findings,
                *outcome.findings,
                *chain_findings(outcome.readings, side),
            ),
            curves=outcome.curves if curves else None,
        )


def find_bands(
    path: str | os.PathLike[str],
    *,
    rpm: float | None = None,
    layout: Layout | None = None,
    mains_hz: float | None = None,
    progress: Progress | None = None,
) -> tuple[Band, ...]:
    """What a recording holds, without measuring it; arguments as in ``measure``."""
    report = progress or _tell_nobody
    with threadpool_limits(1, user_api="blas"), Recording(path) as recording:
        named, _ = _first_pass(recording, layout, rpm, mains_hz, report, (NAMING,))
        report(1.0, "done")
        return named.bands


def _first_pass(
    recording: Recording,
    layout: Layout | None,
    rpm: float | None,
    mains_hz: float | None,
    report: Progress,
    needed_next: tuple[str, ...],
) -> tuple[Named, Inspected]:
    recording.begin_hashing()  # loading what the first pass needs takes a while, and leaves one processor idle
    from spindlewright.first_pass import listen_through

    with ThreadPoolExecutor(1) as loader:
        loaded = [loader.submit(import_module, name) for name in needed_next]
        survey, inspected = listen_through(recording, report)
        for module in loaded:
            module.result()
    from spindlewright.bands.naming import name_bands

    return name_bands(survey, layout, rpm, mains_hz=mains_hz), inspected


def _tell_nobody(share: float, words: str) -> None:
    """The progress nobody asked for."""


def _part(report: Progress, begin: float, end: float) -> Progress:
    """Progress of one part of the work, told as progress of the whole."""
    return lambda share, words: report(begin + (end - begin) * share, words)


def _remarks(recording: Recording) -> tuple[Finding, ...]:
    from spindlewright.readings.reading import Finding

    return tuple(Finding(remark.code, remark.message) for remark in recording.remarks())


def _capture_info(recording: Recording) -> CaptureInfo:
    from spindlewright.measurement import CaptureInfo

    info = recording.info
    return CaptureInfo(
        file=str(Path(info.file)),
        sha256=recording.sha256(),
        sample_rate_hz=info.sample_rate_hz,
        channels=info.channels,
        duration_s=info.duration_s,
        bits=info.bits,
    )


class _CallableModule(ModuleType):
    """Lets ``from spindlewright import measure`` be called whether or not this module was imported before."""

    def __call__(self, *positional: Any, **named: Any) -> Measurement:
        return measure(*positional, **named)


sys.modules[__name__].__class__ = _CallableModule
