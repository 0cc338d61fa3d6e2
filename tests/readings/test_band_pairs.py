"""Which bands are read together, and what a swing of the speed does to a level."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from carrier_scene import bands_of

from spindlewright.bands.band import LayoutBand
from spindlewright.readings.band_pairs import (
    balance_of,
    can_pair,
    nearest_to_main,
    pairs,
    peak_velocity_cm_s,
    speed_line_between,
    speed_lines,
    velocity_read_in,
)
from spindlewright.readings.channel_pair import Leak, Level, TonePair
from spindlewright.readings.method import Observation
from spindlewright.readings.side import Side

LEAK = Leak(0.01, ((1e-8, 0.0), (0.0, 1e-8)))


def seen(left: float | None, right: float | None) -> TonePair:
    levels = [None if level is None else Level(level, 0.001) for level in (left, right)]
    return TonePair(10.0, levels[0], levels[1], LEAK, LEAK, None)


def test_of_several_with_one_tone_those_of_like_level_go_together() -> None:
    bands = bands_of(("left", "left", "right", "right"), 8.0)
    told = [seen(-10.0, None), seen(-20.0, None), seen(None, -20.5), seen(None, -10.5)]
    found = pairs([Observation(b, t) for b, t in zip(bands, told, strict=True)])
    assert [p.bands for p in found] == [[0, 3], [1, 2]]
    assert [p.main for p in found] == [True, False]


def test_different_tones_do_not_pair() -> None:
    left, right = bands_of(("left", "right"), 8.0)
    assert can_pair((left, right))
    assert not can_pair((left, replace(right, nominal_hz=1050.0)))
    assert can_pair((left, replace(right, nominal_hz=1020.0)))


def test_nearest_to_1_khz_counts_in_octaves() -> None:
    bands = tuple(
        replace(b, nominal_hz=hz) for b, hz in zip(bands_of(("tone",) * 3, 8.0), (315.0, 2000.0, 10e3), strict=True)
    )
    found = nearest_to_main(bands)
    assert found is not None
    assert found.nominal_hz == 2000.0
    assert nearest_to_main(()) is None


@pytest.mark.parametrize("turns", [2.2, 3.2, 6.7])
def test_mean_speed_of_a_stretch_stays_within_the_budget_lines(turns: float) -> None:
    # By numbers alone: a swing of 0.1 % whose phase is drawn, read over so many turns at 1 kHz.
    # 6.02 dB an octave (8.686 dB for unit relative speed) less 3.35 dB of the replay curve (published values 4).
    (band,) = bands_of(("left",), turns * 1.8)
    wander = replace(seen(-10.0, None), swing_hz=1.0, turns=turns)
    begin, end = speed_lines(band, wander, Side(48_000.0))
    between = speed_line_between(band, wander, Side(48_000.0))
    flat, *_ = speed_lines(band, wander, Side(48_000.0, chain="flat"))
    per_ratio = 8.686 - 3.35
    assert begin.standard_uncertainty / flat.standard_uncertainty == pytest.approx(per_ratio / 8.686, abs=0.01)
    u = np.linspace(0.0, turns, 4001)
    means, slopes = [], []
    for start in np.linspace(0.0, 1.0, 40, endpoint=False):
        swing = 1e-3 * np.cos(2 * np.pi * (u + start))
        means.append(np.mean(swing))
        phase = np.cumsum(swing)
        slopes.append(np.polyfit(np.arange(len(u)), phase, 2) @ np.array([2 * 2000.0, 1.0, 0.0]))
    both_ends = 2.0 * begin.standard_uncertainty * math.sqrt(2.0)
    assert begin == replace(end, name=begin.name)
    assert max(np.abs(means)) * per_ratio <= 1.02 * both_ends
    assert max(np.abs(slopes)) * per_ratio <= 1.03 * between.standard_uncertainty * math.sqrt(2.0)
    assert between.standard_uncertainty < 2.0 * begin.standard_uncertainty


WALLS = {"left": (math.sqrt(0.5), math.sqrt(0.5)), "right": (math.sqrt(0.5), -math.sqrt(0.5))}
"""Unit vectors (lateral, vertical) in which the walls move the stylus: 45/45 system (published values 6)."""


@pytest.mark.parametrize("counted", ["peak", "rms"])
@pytest.mark.parametrize(("direction", "moves"), [("lateral", (1.0, 0.0)), ("vertical", (0.0, 1.0))])
def test_velocity_of_a_wall_is_the_share_of_the_motion_along_it(
    counted: str, direction: str, moves: tuple[float, float]
) -> None:
    # Geometry alone: a motion of 7 cm/s in one direction, projected on the wall.
    cut = LayoutBand("a", "left", 1000.0, velocity_cm_s=7.0, velocity=counted, direction=direction)  # type: ignore[arg-type]
    along_wall = 7.0 * abs(WALLS["left"][0] * moves[0] + WALLS["left"][1] * moves[1])
    assert velocity_read_in(cut, "wall") == pytest.approx(along_wall)
    assert velocity_read_in(cut, direction) == 7.0  # type: ignore[arg-type]
    (band,) = bands_of(("left",), 8.0, cuts=[cut])
    # the peak of a sine is √2 times its rms
    assert peak_velocity_cm_s(band) == pytest.approx(along_wall * (math.sqrt(2.0) if counted == "rms" else 1.0))


@pytest.mark.parametrize(("read_in", "sense"), [("lateral", 1.0), ("vertical", -1.0)])
def test_both_walls_together_move_the_stylus_by_their_sum(read_in: str, sense: float) -> None:
    cut = LayoutBand("a", "tone", 1000.0, velocity_cm_s=5.0, direction="wall")
    motion = [5.0 * (a + sense * b) for a, b in zip(WALLS["left"], WALLS["right"], strict=True)]
    assert velocity_read_in(cut, read_in) == pytest.approx(math.hypot(*motion))  # type: ignore[arg-type]
    assert velocity_read_in(cut, "wall") == 5.0


def test_one_cut_stated_in_two_ways_needs_no_correction_of_the_balance() -> None:
    # 3.54 cm/s along the wall is one channel of 5 cm/s lateral.
    cuts = [
        LayoutBand("l", "left", 1000.0, velocity_cm_s=5.0 / math.sqrt(2.0), direction="wall"),
        LayoutBand("r", "right", 1000.0, velocity_cm_s=5.0, direction="lateral"),
    ]
    bands = bands_of(("left", "right"), 8.0, cuts=cuts)
    told = [seen(-10.0, None), seen(None, -10.5)]
    (pair,) = pairs([Observation(b, t) for b, t in zip(bands, told, strict=True)])
    value, correction = balance_of(pair)
    assert value == pytest.approx(0.5)
    assert correction == pytest.approx(0.0, abs=1e-12)
