"""A stop at one place of a recording takes away the readings of that band and no others."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from made_sounds import groove_noise, tone
from odd_files import write

from spindlewright.measure import measure


def side_with_two_tones(first_peak: float, second_peak: float) -> np.ndarray:
    sound = groove_noise(48000, 24, 2e-4)
    sound[48000 : 10 * 48000] += tone(48000, 9, 1000.0, first_peak)
    sound[13 * 48000 : 22 * 48000] += tone(48000, 9, 3150.0, second_peak, seed=9)
    return sound


def quantities_by_band(path: Path) -> tuple[dict[int, set[str]], dict[str, tuple[int, ...]]]:
    measurement = measure(path)
    found: dict[int, set[str]] = {}
    for reading in measurement.readings:
        if reading.band is not None:
            found.setdefault(reading.band, set()).add(reading.quantity)
    return found, {item.code: item.bands for item in measurement.fitness if item.severity == "stop"}


def test_clipped_band_keeps_its_speed_and_loses_its_level(tmp_path: Path) -> None:
    clean, _ = quantities_by_band(write(tmp_path / "clean.wav", side_with_two_tones(0.3, 0.3), 48000, "PCM_16"))
    first, second = sorted(clean)[:2]
    assert "level_reference" in clean[first], "else the test says nothing"

    found, stops = quantities_by_band(write(tmp_path / "second.wav", side_with_two_tones(0.3, 1.5), 48000, "PCM_16"))
    assert stops["clipped"] == (second,)
    assert found[first] == clean[first]
    assert {"speed_deviation", "wow_flutter_weighted"} & clean[second] <= found[second]

    found, stops = quantities_by_band(write(tmp_path / "first.wav", side_with_two_tones(1.5, 0.3), 48000, "PCM_16"))
    assert stops["clipped"] == (first,)
    assert "level_reference" not in found[first]
    assert "speed_deviation" in found[first]


def test_clipping_between_the_bands_spoils_nothing(tmp_path: Path) -> None:
    sound = side_with_two_tones(0.3, 0.3)
    time = np.arange(28_800) / 48000
    sound[round(10.7 * 48000) : round(11.3 * 48000)] += 4 * np.sin(2 * np.pi * 30 * time)[:, None]
    _, stops = quantities_by_band(write(tmp_path / "a.wav", sound, 48000, "PCM_16"))
    assert "clipped" not in stops
