"""The comb of mains lines: false alarms, neighbours, memory."""

from __future__ import annotations

import numpy as np
import pytest

from spindlewright.signal.hann_segments import HannSegments, at_frequency
from spindlewright.signal.mains_lines import find_comb
from spindlewright.signal.mains_track import MainsTrack

RATE_HZ = 4000.0


def test_value_between_bins_is_that_of_the_sine() -> None:
    """A cosine of peak 0.2 and phase 0.7 rad at the middle of the segment, at 123.456 Hz."""
    segments = HannSegments(RATE_HZ, 2.0, 1300.0)
    time_s = np.arange(8000) / RATE_HZ - 1.0
    sound = 0.2 * np.cos(2.0 * np.pi * 123.456 * time_s + 0.7)[:, None] * np.ones((1, 2))
    (segment,) = list(segments.feed(sound))
    value = at_frequency(segment.spectrum[None], np.array([123.456 / segments.bin_hz]))[0, 0, 0]
    assert abs(value) == pytest.approx(0.2, rel=2e-4)
    assert np.angle(value) == pytest.approx(0.7, abs=2e-4)


def test_many_small_lines_beat_one_loud_stranger() -> None:
    """A 100.7 Hz line of a motor is no order 2 of 50.35 Hz when 50.0, 150 and 250 Hz are there."""
    rng = np.random.default_rng(1)
    time_s = np.arange(round(20 * RATE_HZ)) / RATE_HZ
    sound = 1e-3 * rng.standard_normal((len(time_s), 2))
    for order in (1, 3, 5):
        sound += 1e-3 * np.cos(2.0 * np.pi * 50.0 * order * time_s + order)[:, None]
    sound += 1e-2 * np.cos(2.0 * np.pi * 100.7 * time_s)[:, None]
    segments = HannSegments(RATE_HZ, 2.0, 1310.0)
    spectra = np.stack([s.spectrum for s in segments.feed(sound)])
    comb = find_comb(spectra, segments.bin_hz, segments.hop_s)
    assert comb is not None
    assert comb.found
    assert comb.frequency_hz == pytest.approx(50.0, abs=0.005)


@pytest.mark.parametrize(("line_hz", "is_mains"), [(50.1, True), (60.4, False), (99.0, False), (300.2, True)])
def test_lone_line_must_lie_near(line_hz: float, is_mains: bool) -> None:
    """Within 0.25 Hz of 50 or 60 Hz, told at order 1; farther off it is some motor's."""
    time_s = np.arange(round(20 * RATE_HZ)) / RATE_HZ
    sound = 1e-4 * np.random.default_rng(5).standard_normal((len(time_s), 2))
    sound += 1e-3 * np.cos(2.0 * np.pi * line_hz * time_s)[:, None]
    track = MainsTrack(RATE_HZ)
    track.feed(sound)
    lines = track.lines()
    assert lines is not None
    assert bool(lines.significant.any()) is is_mains


def test_memory_does_not_grow() -> None:
    rng = np.random.default_rng(2)
    track = MainsTrack(RATE_HZ)
    for _ in range(30):
        track.feed(1e-3 * rng.standard_normal((round(10 * RATE_HZ), 2)))
        assert len(track._pending) <= 90
    lines = track.lines()
    assert lines is not None
    assert lines.chapters >= 4
    assert not lines.significant.any()


@pytest.mark.slow
@pytest.mark.parametrize("seconds", [5.0, 12.0])
def test_false_alarms_are_as_rare_as_stated(seconds: float) -> None:
    """One band in 1000 is allowed to show a line; more than 3 in 300 would happen by chance once in 3000 tries."""
    rng = np.random.default_rng(3)
    alarms = 0
    for _ in range(300):
        track = MainsTrack(RATE_HZ, 2.0 if seconds > 10.0 else 1.0)
        track.feed(rng.standard_normal((round(seconds * RATE_HZ), 2)))
        lines = track.lines()
        assert lines is not None
        alarms += bool(lines.significant.any())
    assert alarms <= 3
