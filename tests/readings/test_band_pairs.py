"""Which bands are read together, and what a swing of the speed does to a level."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from carrier_scene import bands_of

from spindlewright.readings.band_pairs import can_pair, nearest_to_main, pairs, speed_line_between, speed_lines
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
