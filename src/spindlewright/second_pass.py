"""The second pass: the stretches that methods want are listened to again, and all methods conclude.

Kept apart from ``measure`` because it needs every method, and loading those takes longer than the first pass needs to
get going: they are loaded while it runs.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.bands.layout import Layout
from spindlewright.bands.naming import Named
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.capture.recording import Recording
from spindlewright.measurement import Progress
from spindlewright.readings.listener import Listener
from spindlewright.readings.method import Method, Observation, Outcome
from spindlewright.readings.reading import Curve, Finding, Reading
from spindlewright.readings.register import METHODS
from spindlewright.readings.side import Arm, Chain, Side

INSIDE_TONE_S = 0.06
"""Left out at both ends of a tone band, where the tone comes up or goes."""
INSIDE_SILENCE_S = 0.25
"""Left out at both ends of a band without a tone, so that a neighbour's tail is not taken for its noise."""


def side_of(
    sample_rate_hz: float,
    named: Named,
    layout: Layout | None,
    mains_hz: float | None,
    chain: Chain,
    arm: Arm | None,
    left_out: frozenset[str],
) -> Side:
    """What readings may know of this side."""
    side = Side(
        sample_rate_hz=sample_rate_hz,
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


def listen(
    recording: Recording, side: Side, report: Progress
) -> tuple[dict[str, list[Observation]], dict[int, list[float]]]:
    """Observations of every method by its name, and the phase jumps by band."""
    rate_hz = recording.info.sample_rate_hz
    wanted = [band for band in side.bands if any(method.wants(band, side) for method in METHODS)]
    total = sum(band.duration_s for band in wanted) or 1.0
    done = [0.0]

    def listen_to(band: Band) -> tuple[Band, Listener, list[tuple[Method, Observation]]]:
        inside = INSIDE_TONE_S if band.kind in TONE_KINDS else INSIDE_SILENCE_S
        start = math.ceil((band.start_s + inside) * rate_hz)
        stop = math.floor((band.end_s - inside) * rate_hz)
        listener = Listener(band, side, METHODS, start / rate_hz)
        if stop > start:
            for block in recording.blocks(frames=listener.chunk_frames, start=start, stop=stop):
                listener.feed(block)
                done[0] += len(block) / rate_hz
                report(min(1.0, done[0] / total), "measuring")
        return band, listener, listener.finish()

    observations: dict[str, list[Observation]] = {method.name: [] for method in METHODS}
    jumps: dict[int, list[float]] = {}
    with ThreadPoolExecutor(2) as pool:
        for band, listener, seen in pool.map(listen_to, wanted):
            for method, observation in seen:
                observations[method.name].append(observation)
            jumps[band.index] = listener.phase_jumps_s
    return observations, jumps


def conclude(observations: Mapping[str, list[Observation]], side: Side) -> Outcome:
    """All methods in the register's order; each may use the readings of those before it."""
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
    return Outcome(tuple(readings), tuple(findings), tuple(fitness), tuple(curves))
