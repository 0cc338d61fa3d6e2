"""The listener gives every method the same elements of its view, however the sound arrives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pytest

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.listener import Listener
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side

RATE_HZ = 44100
BAND = Band(0, 1.0, 7.0, "tone", Levels(-20.0, -20.0), frequency_hz=3141.2, nominal_hz=3150.0, right_phase_deg=0.0)


class KeepsAll:
    """A state that keeps what it is fed."""

    def __init__(self, stretch: Stretch) -> None:
        self.stretch = stretch
        self.blocks: list[np.ndarray] = []

    def feed(self, block: np.ndarray) -> None:
        self.blocks.append(block.copy())

    def observe(self) -> Any:
        return self.stretch, np.concatenate(self.blocks) if self.blocks else np.empty((0, 2))


class Keeper:
    """A method for one view that wants every band."""

    version = 1
    quantities: tuple[Quantity, ...] = ()

    def __init__(self, view: View) -> None:
        self.view = view
        self.name = f"keeps {view}"

    def wants(self, band: Band, side: Side) -> bool:
        return True

    def start(self, stretch: Stretch, side: Side) -> KeepsAll:
        return KeepsAll(stretch)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        return Outcome()


METHODS = [Keeper("wide"), Keeper("low"), Keeper("carrier"), Keeper("phase")]


def _sound() -> np.ndarray:
    rng = np.random.default_rng(7)
    time_s = 1.0 + np.arange(5 * RATE_HZ) / RATE_HZ
    tone = 0.14 * np.cos(2 * np.pi * 3141.2 * time_s + 0.5)
    sound = np.stack([tone, tone], axis=1) + 1e-4 * rng.standard_normal((len(time_s), 2))
    for place in (0.9, 2.2, 4.1):
        sound[round(place * RATE_HZ) : round(place * RATE_HZ) + 5] += 0.3
    return sound.astype(np.float32)


def _heard(block: int, sound: np.ndarray) -> dict[str, tuple[Stretch, np.ndarray]]:
    listener = Listener(BAND, Side(RATE_HZ, (BAND,)), METHODS, 1.0)
    for k in range(0, len(sound), block):
        listener.feed(sound[k : k + block])
    return {method.name: observation.data for method, observation in listener.finish()}


@pytest.mark.parametrize("block", [64, 127, 128, 129, 65536])
def test_views_do_not_depend_on_block_size(block: int) -> None:
    sound = _sound()
    whole, parts = _heard(len(sound), sound), _heard(block, sound)
    for name, (_, data) in whole.items():
        np.testing.assert_array_equal(parts[name][1], data, err_msg=name)


def test_views_are_what_they_say() -> None:
    """Closed form: a steady cosine has |z| = 0.14 and phase 0.5 + 2π·3141.2·t; ticks are bridged in the phase."""
    sound = _sound()
    heard = _heard(4096, sound)
    np.testing.assert_array_equal(heard["keeps wide"][1], sound)
    stretch, carrier = heard["keeps carrier"]
    assert stretch.rate_hz == pytest.approx(2000, rel=0.01)
    away_from_ticks = np.median(np.abs(carrier), axis=0)
    np.testing.assert_allclose(away_from_ticks, 0.14, rtol=1e-3)
    mixed_from = np.angle(carrier[0, 0]) - (0.5 + 2 * np.pi * 3141.2 * 1.0)  # mixing starts at the stretch's start
    assert abs((mixed_from + np.pi) % (2 * np.pi) - np.pi) < 0.01
    _, phase = heard["keeps phase"]
    assert np.max(np.abs(phase[:, 0] - phase[0, 0])) < 0.02
    bridged_s = stretch.start_s + np.flatnonzero(phase[:, 2] == 0.0) / stretch.rate_hz
    for place in (0.9, 2.2, 4.1):
        assert np.any(np.abs(bridged_s - (1.0 + place)) < 0.001)
    assert len(bridged_s) < 3 * 16


def test_observing_on_the_way_equals_a_recording_cut_there() -> None:
    """Live equals recorded: an observation at a sample equals the file reading of the stretch cut at that sample."""
    sound = _sound()
    cut = 2 * RATE_HZ + 777
    listener = Listener(BAND, Side(RATE_HZ, (BAND,)), METHODS, 1.0)
    listener.feed(sound[:cut])
    on_the_way = {method.name: observation.data for method, observation in listener.observe()}
    listener.feed(sound[cut:])
    at_the_end = {method.name: observation.data for method, observation in listener.finish()}
    for name, (_, data) in _heard(1000, sound[:cut]).items():
        np.testing.assert_array_equal(on_the_way[name][1], data, err_msg=name)
    for name, (_, data) in _heard(1000, sound).items():
        np.testing.assert_array_equal(at_the_end[name][1], data, err_msg=name)
