"""Short random decks for the coverage benchmark, and the layout of the disc they play.

Every range is an invention for the benchmark; only the disc's speed error and the recorder's clock are drawn from the
distributions that the readings' budgets state.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from spindlewright.bands.band import LayoutBand
from spindlewright.bands.layout import Layout
from spindlewright.readings.side import Side
from spindlewright.simulate.spec import (
    Cartridge,
    CutBand,
    Deck,
    Disc,
    Hum,
    HumLine,
    Line,
    RandomFlutter,
    Recorder,
    Rumble,
    Spec,
    Take,
)

RATE_HZ = 32_000
REFERENCE_CM_S = 10.0 / np.sqrt(2.0)

LAYOUT = Layout(
    "coverage",
    (
        LayoutBand("flutter", "tone", 3150.0, velocity_cm_s=5.0, direction="lateral"),
        LayoutBand("left", "left", 1000.0, velocity_cm_s=5.0, direction="wall", reference=True),
        LayoutBand("right", "right", 1000.0, velocity_cm_s=5.0, direction="wall", reference=True),
        LayoutBand("lateral", "tone", 1000.0, velocity_cm_s=5.0, direction="lateral"),
        LayoutBand("silent", "silence", duration_s=12.0),
    ),
)


def random_deck(seed: int) -> Spec:
    """One deck, disc and recorder drawn at random; the same for the same seed."""
    draw = np.random.default_rng(seed)
    side = Side(RATE_HZ)
    lines = [Line(part="platter", peak_percent=_ten_to(draw, -2.0, -0.7), phase_deg=draw.uniform(0, 360))]
    if draw.random() < 0.5:
        lines.append(Line(part="belt", peak_percent=_ten_to(draw, -2.3, -1.3), phase_deg=draw.uniform(0, 360)))
    if draw.random() < 0.6:
        lines.append(Line(part="pulley", peak_percent=_ten_to(draw, -2.3, -1.3), phase_deg=draw.uniform(0, 360)))
    if draw.random() < 0.3:
        lines.append(Line(hz=draw.uniform(6, 90), peak_percent=_ten_to(draw, -2.3, -1.5)))
    deck = Deck(
        speed_error_percent=draw.uniform(-2, 2),
        drift_percent_per_min=draw.normal() * 0.05,
        lines=tuple(lines),
        random_flutter=RandomFlutter(
            rms_percent=_ten_to(draw, -2.6, -1.5), low_hz=draw.uniform(0.3, 1), high_hz=draw.uniform(15, 80)
        ),
        rumble=Rumble(lateral_db=draw.uniform(-70, -48), vertical_db=draw.uniform(-68, -46)),
    )
    hum = tuple(
        HumLine(
            order=order,
            left_dbfs=draw.uniform(-85, -55),
            right_dbfs=draw.uniform(-85, -55),
            left_phase_deg=draw.uniform(0, 360),
            right_phase_deg=draw.uniform(0, 360),
        )
        for order in (1, 2, 3)
    )
    tone = 3150.0
    return Spec(
        bands=(
            CutBand(kind="tone", hz=tone, seconds=draw.uniform(21, 26), phase_deg=draw.uniform(0, 360)),
            CutBand(kind="left", hz=1000.0, seconds=6.0, gap_s=1.0),
            CutBand(kind="right", hz=1000.0, seconds=6.0, gap_s=1.0),
            CutBand(kind="tone", hz=1000.0, seconds=5.0, gap_s=1.0),
            CutBand(kind="silence", seconds=12.0, gap_s=1.0),
        ),
        deck=deck,
        disc=Disc(
            rpm=33,
            tone_error_percent=draw.uniform(-1, 1) * side.disc_speed_percent,
            eccentricity_mm=draw.uniform(0, 0.15),
            eccentricity_phase_deg=draw.uniform(0, 360),
            surface_noise_db=draw.uniform(-62, -44),
            ticks_per_minute=draw.choice([0.0, 10.0, 40.0]),
            tick_peak_db=0.0,
            tick_spread_db=4.0,
        ),
        cartridge=Cartridge(
            azimuth_deg=draw.uniform(-2, 2),
            crosstalk_db=draw.uniform(-45, -26),
            crosstalk_inverted=bool(draw.random() < 0.5),
            balance_db=draw.uniform(-1.5, 1.5),
        ),
        hum=Hum(mains_hz=draw.uniform(49.95, 50.05), lines=hum),
        take=Take(lifted_before_s=0.5, lead_in_s=1.5, lead_out_s=0.5, lifted_after_s=0.0),
        recorder=Recorder(
            rate_hz=RATE_HZ, bits=24, clock_error_ppm=draw.uniform(-1, 1) * side.clock_percent * 1e4, noise_dbfs=-120.0
        ),
        seed=seed,
    )


def without_noise(spec: Spec) -> Spec:
    """The same deck and disc, with every source of noise switched off (what makes speed and tones stays)."""
    return replace(
        spec,
        disc=replace(spec.disc, surface_noise_db=None, ticks_per_minute=0.0),
        deck=replace(spec.deck, rumble=Rumble()),
        hum=replace(spec.hum, lines=()),
        take=replace(spec.take, needle_drop_db=None),
        recorder=replace(spec.recorder, noise_dbfs=None),
    )


def _ten_to(draw: np.random.Generator, low: float, high: float) -> float:
    return float(10.0 ** draw.uniform(low, high))
