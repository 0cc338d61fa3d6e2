"""The one path from a recording to readings: capture, fitness, bands, readings, verdicts.

The whole file is decoded once for the survey; then only the stretches that a method wants are decoded again.
"""

from __future__ import annotations

import math
import os
import sys
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any, Literal

from threadpoolctl import threadpool_limits

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.bands.layout import Layout
from spindlewright.bands.naming import Named, name_bands
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.capture.inspection import Inspected, Inspection
from spindlewright.capture.placing import placed
from spindlewright.capture.recording import Recording
from spindlewright.measurement import CaptureInfo, Measurement
from spindlewright.readings.fitness_effects import chain_findings, spared
from spindlewright.readings.listener import Listener
from spindlewright.readings.method import Method, Observation
from spindlewright.readings.missing_samples import missing_samples
from spindlewright.readings.reading import Curve, Finding, Reading
from spindlewright.readings.register import METHODS
from spindlewright.readings.side import Arm, Side
from spindlewright.readings.verdicts import judged
from spindlewright.signal.survey import Survey
from spindlewright.standards.limits import LimitSet, find_limits

Progress = Callable[[float, str], None]
"""Called with the share done (0 to 1) and what is being done, in words."""
Chain = Literal["riaa", "flat", "unknown"]

INSIDE_TONE_S = 0.06
"""Left out at both ends of a tone band, where the tone comes up or goes."""
INSIDE_SILENCE_S = 0.25
"""Left out at both ends of a band without a tone, so that a neighbour's tail is not taken for its noise."""
SURVEY_SHARE = 0.5


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
    report = progress or (lambda share, words: None)
    with threadpool_limits(1, user_api="blas"), Recording(path) as recording:
        named, inspected = _survey(recording, layout, rpm, mains_hz, report)
        side = _side(recording, named, layout, mains_hz, chain, arm, left_out)
        observations, jumps_s = _listen(recording, replace(side, bands=()) if inspected.is_silent else side, report)
        readings, findings, fitness, found_curves = _conclude(observations, side)
        spans = [(band.index, band.start_s, band.end_s) for band in side.bands]
        of_file = placed((*recording.fitness(), *inspected.fitness), spans)
        fitness = (*of_file, *named.fitness, *fitness, *missing_samples(jumps_s))
        kept = spared(readings, fitness, side)
        report(1.0, "done")
        return Measurement(
            capture=_capture_info(recording),
            fitness=fitness,
            bands=side.bands,
            readings=judged(kept, limit_set, fitness),
            findings=(*_remarks(recording), *named.findings, *findings, *chain_findings(readings, side)),
            curves=found_curves if curves else None,
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
    report = progress or (lambda share, words: None)
    with threadpool_limits(1, user_api="blas"), Recording(path) as recording:
        named, _ = _survey(recording, layout, rpm, mains_hz, report)
        report(1.0, "done")
        return named.bands


def _survey(
    recording: Recording, layout: Layout | None, rpm: float | None, mains_hz: float | None, report: Progress
) -> tuple[Named, Inspected]:
    rate_hz = recording.info.sample_rate_hz
    survey, inspection = Survey(rate_hz), Inspection(rate_hz, recording.info.channels, recording.info.bits)
    done = 0
    for block in recording.blocks():
        inspection.feed(block)
        survey.feed(block)
        done += len(block)
        report(SURVEY_SHARE * min(1.0, done / max(1, recording.info.frames)), "listening through")
    return name_bands(survey.result(), layout, rpm, mains_hz=mains_hz), inspection.result()


def _side(
    recording: Recording,
    named: Named,
    layout: Layout | None,
    mains_hz: float | None,
    chain: Chain,
    arm: Arm | None,
    left_out: frozenset[str],
) -> Side:
    side = Side(
        sample_rate_hz=recording.info.sample_rate_hz,
        bands=named.bands,
        rpm=named.rpm,
        mains_hz=mains_hz,
        chain=chain,
        arm=arm,
        polarity=named.polarity,
        platter_rate_hz=named.rpm / 60.0,
        without_contributions=left_out,
    )
    if layout is not None and layout.speed_uncertainty_percent is not None:
        side = replace(
            side,
            disc_speed_percent=layout.speed_uncertainty_percent,
            disc_speed_source=f"as stated in the disc layout {layout.name}",
        )
    main = _main_band(named.bands)
    if main is None or main.frequency_hz is None or main.nominal_hz is None:
        return side
    return replace(side, main_band=main.index, platter_rate_hz=named.rpm / 60.0 * main.frequency_hz / main.nominal_hz)


def _main_band(bands: tuple[Band, ...]) -> Band | None:
    """The band for the headline: a 3000/3150 Hz tone before any other, then the longest one from 900 Hz up."""

    def worth(band: Band) -> tuple[bool, bool, float]:
        nominal = band.nominal_hz or 0.0
        return 2900.0 < nominal < 3250.0, nominal >= 900.0, band.duration_s

    tones = [band for band in bands if band.kind in TONE_KINDS and band.nominal_hz and band.frequency_hz]
    return max(tones, key=worth, default=None)


def _listen(
    recording: Recording, side: Side, report: Progress
) -> tuple[dict[str, list[Observation]], dict[int, list[float]]]:
    """Observations of every method by its name, and the phase jumps by band."""
    rate_hz = recording.info.sample_rate_hz
    wanted = [band for band in side.bands if any(method.wants(band, side) for method in METHODS)]
    total = sum(band.duration_s for band in wanted) or 1.0
    done = [0.0]

    def listen(band: Band) -> tuple[Band, Listener, list[tuple[Method, Observation]]]:
        inside = INSIDE_TONE_S if band.kind in TONE_KINDS else INSIDE_SILENCE_S
        start = math.ceil((band.start_s + inside) * rate_hz)
        stop = math.floor((band.end_s - inside) * rate_hz)
        listener = Listener(band, side, METHODS, start / rate_hz)
        if stop > start:
            for block in recording.blocks(start=start, stop=stop):
                listener.feed(block)
                done[0] += len(block) / rate_hz
                report(SURVEY_SHARE + (1.0 - SURVEY_SHARE) * min(1.0, done[0] / total), "measuring")
        return band, listener, listener.finish()

    observations: dict[str, list[Observation]] = {method.name: [] for method in METHODS}
    jumps: dict[int, list[float]] = {}
    with ThreadPoolExecutor(2) as pool:
        for band, listener, seen in pool.map(listen, wanted):
            for method, observation in seen:
                observations[method.name].append(observation)
            jumps[band.index] = listener.phase_jumps_s
    return observations, jumps


def _conclude(
    observations: Mapping[str, list[Observation]], side: Side
) -> tuple[tuple[Reading, ...], tuple[Finding, ...], tuple[FitnessItem, ...], tuple[Curve, ...]]:
    readings: list[Reading] = []
    findings: list[Finding] = []
    fitness: list[FitnessItem] = []
    curves: list[Curve] = []
    earlier: dict[str, list[Reading]] = {}
    for method in METHODS:
        outcome = method.conclude(observations[method.name], side, earlier)
        for reading in outcome.readings:
            earlier.setdefault(reading.quantity, []).append(reading)
        readings.extend(outcome.readings)
        findings.extend(outcome.findings)
        fitness.extend(outcome.fitness)
        curves.extend(outcome.curves)
    return tuple(readings), tuple(findings), tuple(fitness), tuple(curves)


def _remarks(recording: Recording) -> tuple[Finding, ...]:
    return tuple(Finding(remark.code, remark.message) for remark in recording.remarks())


def _capture_info(recording: Recording) -> CaptureInfo:
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
