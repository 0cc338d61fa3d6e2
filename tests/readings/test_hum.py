"""Hum and mains frequency against the lines put in, a least-squares route of its own, and closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from quiet_scene import LOW_RATE_HZ, from_low_view, mains, quiet_band, reference, through_listener

from spindlewright.readings.hum import Hum
from spindlewright.readings.method import Observation, Stretch
from spindlewright.readings.side import Side

LINES = {1: (-55.0, 20.0), 2: (-68.0, 140.0), 3: (-60.0, -75.0), 5: (-66.0, 10.0), 19: (-72.0, 3.0)}


def _scene(seconds: float, frequency_hz: float, noise: float = 1e-5, seed: int = 1) -> np.ndarray:
    time_s = np.arange(round(seconds * LOW_RATE_HZ)) / LOW_RATE_HZ
    left = mains(time_s, frequency_hz, LINES)
    right = mains(time_s, frequency_hz, {order: (level - 6.0, phase) for order, (level, phase) in LINES.items()})
    return np.stack([left, right], axis=1) + noise * np.random.default_rng(seed).standard_normal((len(time_s), 2))


@pytest.mark.parametrize("frequency_hz", [49.21, 49.97, 50.63, 59.4, 60.02])
@pytest.mark.parametrize("seconds", [5.0, 31.0, 93.0])
def test_lines_come_out_as_put_in(frequency_hz: float, seconds: float) -> None:
    outcome = from_low_view(Hum(), _scene(seconds, frequency_hz))
    left, right, mains_reading = outcome.readings
    assert mains_reading.quantity == "mains_frequency"
    assert mains_reading.value == pytest.approx(frequency_hz, abs=1e-3)
    assert mains_reading.uncertainty == pytest.approx(0.95 * 1e-4 * frequency_hz, rel=0.05)  # the clock alone
    found = {line["order"]: line for line in left.conditions["lines"]}
    assert set(found) == set(LINES)
    for order, (level, phase) in LINES.items():
        assert found[order]["frequency_hz"] == pytest.approx(order * frequency_hz, abs=order * 1e-3)
        assert found[order]["level_dbfs"] == pytest.approx(level, abs=0.1)
        assert math.cos(math.radians(found[order]["phase_deg"] - phase)) > math.cos(math.radians(3.0))
    power = sum(10.0 ** (level / 10.0) for level, _ in LINES.values())
    assert left.value == pytest.approx(10.0 * math.log10(power), abs=0.02)
    assert right.value == pytest.approx(10.0 * math.log10(power) - 6.0, abs=0.02)
    assert left.unit == "dBFS"
    assert left.conditions["main"] is True


def test_agrees_with_one_least_squares_fit_of_all_sines() -> None:
    """Independent route: numpy's lstsq on cosines and sines at the frequency put in."""
    sound = _scene(20.0, 50.07, noise=3e-4)
    time_s = np.arange(len(sound)) / LOW_RATE_HZ
    columns = []
    for order in range(1, 21):
        angle = 2.0 * np.pi * 50.07 * order * time_s
        columns += [np.cos(angle), np.sin(angle)]
    fit = np.linalg.lstsq(np.stack(columns, axis=1), sound, rcond=None)[0]
    left = from_low_view(Hum(), sound).readings[0]
    for line in left.conditions["lines"]:
        row = 2 * (line["order"] - 1)
        level = 10.0 * math.log10(fit[row, 0] ** 2 + fit[row + 1, 0] ** 2)
        assert line["level_dbfs"] == pytest.approx(level, abs=0.15)


def test_lines_in_rumble_are_read_as_well_as_can_be() -> None:
    """Rumble 20 dB over the weakest line: no worse than least squares that knows the frequency, noise taken off."""
    levels = {1: (-65.0, 20.0), 2: (-72.0, 140.0), 3: (-76.0, -75.0), 5: (-80.0, 10.0)}
    time_s = np.arange(round(12.0 * LOW_RATE_HZ)) / LOW_RATE_HZ
    hz = np.fft.rfftfreq(len(time_s), 1.0 / LOW_RATE_HZ)
    of_known, of_ours, outside, count = 0.0, 0.0, 0, 0
    for seed in range(5):
        spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal((len(time_s), 2)), axis=0)
        rumble = np.fft.irfft(spectrum / np.sqrt(1.0 + (hz / 60.0) ** 4)[:, None], len(time_s), axis=0)
        sound = np.stack([mains(time_s, 50.02, levels)] * 2, axis=1) + 2e-3 * rumble
        angles = [2.0 * np.pi * 50.02 * order * time_s for order in levels]
        columns = np.stack([wave(angle) for angle in angles for wave in (np.cos, np.sin)], axis=1)
        fit = np.linalg.lstsq(columns, sound, rcond=None)[0]
        for channel, reading in enumerate(from_low_view(Hum(), sound).readings[:2]):
            lines = {line["order"]: line for line in reading.conditions["lines"]}
            assert set(lines) == set(levels)
            for row, (order, (level, _)) in enumerate(levels.items()):
                known = 10.0 * math.log10(float(np.sum(fit[2 * row : 2 * row + 2, channel] ** 2)))
                error = lines[order]["level_dbfs"] - level
                of_known += (known - level) ** 2
                of_ours += error**2
                outside += abs(error) > lines[order]["level_uncertainty_db"]
                count += 1
    assert math.sqrt(of_ours / count) < 1.2 * math.sqrt(of_known / count)
    assert outside <= 6  # of 40, 2 on average: more has a chance of 0.3 % (binomial)


def test_lines_are_followed_while_the_mains_wanders() -> None:
    """±0.1 % within minutes (published values 19): order 19 then moves by 2 Hz, four bins of a segment."""
    time_s = np.arange(round(120.0 * LOW_RATE_HZ)) / LOW_RATE_HZ
    shift = 0.05 / 0.01 * (1.0 - np.cos(2.0 * np.pi * 0.01 * time_s))  # ∫ 2π·0.05·sin(2π·0.01·t) dt
    sound = np.stack([mains(time_s, 50.0, LINES, shift)] * 2, axis=1)
    sound += 1e-4 * np.random.default_rng(2).standard_normal(sound.shape)
    left, _, mains_reading = from_low_view(Hum(), sound).readings
    found = {line["order"]: line["level_dbfs"] for line in left.conditions["lines"]}
    assert set(found) == set(LINES)
    for order, (level, _) in LINES.items():
        assert found[order] == pytest.approx(level, abs=0.3)
    assert mains_reading.value == pytest.approx(50.0, abs=0.02)


def test_a_line_beside_the_mains_is_not_hum() -> None:
    """A motor at 24.9 Hz makes a line at 99.6 Hz, louder than the mains line at 100 Hz."""
    sound = _scene(60.0, 50.0, noise=1e-4)
    time_s = np.arange(len(sound)) / LOW_RATE_HZ
    sound += (10.0 ** (-60.0 / 20.0) * np.cos(2.0 * np.pi * 99.6 * time_s))[:, None]
    left, _, mains_reading = from_low_view(Hum(), sound).readings
    found = {line["order"]: line for line in left.conditions["lines"]}
    assert mains_reading.value == pytest.approx(50.0, abs=0.01)
    assert found[1]["level_dbfs"] == pytest.approx(-55.0, abs=0.1)
    if 2 in found:
        assert abs(found[2]["level_dbfs"] + 68.0) < found[2]["level_uncertainty_db"]


def test_without_lines_an_upper_bound() -> None:
    noise = 1e-3 * np.random.default_rng(3).standard_normal((round(20.0 * LOW_RATE_HZ), 2))
    outcome = from_low_view(Hum(), noise)
    assert [r.quantity for r in outcome.readings] == ["hum", "hum"]
    for reading in outcome.readings:
        assert reading.conditions["below_noise"] is True
        assert reading.conditions["lines"] == []
        # 20 orders of white noise, seen for 20 s: each has 4·σ²/N = −103 dB, all 20 −90 dB on average.
        assert -90.0 < reading.value < -84.0


def test_silence_of_zeros_is_no_hum() -> None:
    outcome = from_low_view(Hum(), np.zeros((round(6.0 * LOW_RATE_HZ), 2)))
    assert all(r.conditions["below_noise"] for r in outcome.readings)
    assert all(math.isfinite(r.value) for r in outcome.readings)


def test_given_mains_decides_the_family() -> None:
    """300 Hz is both 6·50 and 5·60."""
    time_s = np.arange(round(10.0 * LOW_RATE_HZ)) / LOW_RATE_HZ
    sound = np.stack([mains(time_s, 60.0, {5: (-50.0, 0.0)})] * 2, axis=1)
    sound += 1e-5 * np.random.default_rng(4).standard_normal(sound.shape)
    for nominal, order in ((50.0, 6), (60.0, 5)):
        left = from_low_view(Hum(), sound, {"mains_hz": nominal}).readings[0]
        assert [line["order"] for line in left.conditions["lines"]] == [order]


def test_flat_chain_is_equalised_here() -> None:
    """Replay gain at 50 and 150 Hz: +16.946 and +10.271 dB (published values 4)."""
    sound = _scene(10.0, 50.0)
    plain = {line["order"]: line for line in from_low_view(Hum(), sound).readings[0].conditions["lines"]}
    reading = from_low_view(Hum(), sound, {"chain": "flat"}).readings[0]
    flat = {line["order"]: line for line in reading.conditions["lines"]}
    assert reading.conditions["equalised_here"] is True
    assert flat[1]["level_dbfs"] - plain[1]["level_dbfs"] == pytest.approx(16.946, abs=0.001)
    assert flat[3]["level_dbfs"] - plain[3]["level_dbfs"] == pytest.approx(10.271, abs=0.001)


def test_told_against_the_reference() -> None:
    sound = _scene(10.0, 50.0)
    absolute = from_low_view(Hum(), sound).readings[0]
    relative = from_low_view(Hum(), sound, earlier=reference(-20.0, -21.0, 6.0206, u_db=0.1)).readings[0]
    assert relative.unit == "dB"
    assert relative.value == pytest.approx(absolute.value + 20.0 - 6.0206, abs=1e-9)
    assert relative.uncertainty > 0.19
    assert relative.conditions["velocity_known"] is True


def test_longest_lifted_band_is_the_main_one() -> None:
    method, side = Hum(), Side(sample_rate_hz=LOW_RATE_HZ)
    seen = []
    for index, (kind, seconds) in enumerate([("silence", 20.0), ("lifted", 6.0), ("lifted", 8.0)]):
        band = quiet_band(seconds, kind, index)
        state = method.start(Stretch(band, LOW_RATE_HZ, band.start_s), side)
        state.feed(_scene(seconds, 50.0))
        seen.append(Observation(band, state.observe()))
    readings = method.conclude(seen, side, {}).readings
    hum = [r for r in readings if r.quantity == "hum"]
    assert [r.band for r in hum] == [2, 2, 0, 0, 1, 1]
    assert [r.conditions["main"] for r in hum] == [True, True, False, False, False, False]
    assert readings[-1].conditions["bands"] == [0, 1, 2]


@pytest.mark.parametrize("rate_hz", [8000, 44100, 96000])
def test_same_from_the_recording_at_any_rate(rate_hz: int) -> None:
    time_s = np.arange(8 * rate_hz) / rate_hz
    sound = np.stack([mains(time_s, 50.03, LINES)] * 2, axis=1)
    sound += 1e-4 * np.random.default_rng(5).standard_normal(sound.shape)
    left = through_listener(Hum(), sound, rate_hz).readings[0]
    for line in left.conditions["lines"]:
        level, phase = LINES[line["order"]]
        assert line["level_dbfs"] == pytest.approx(level, abs=0.15)
        assert math.cos(math.radians(line["phase_deg"] - phase)) > math.cos(math.radians(4.0))


def test_ticks_move_no_line_by_its_uncertainty() -> None:
    """60 ticks a minute, ten times as high as the hum."""
    rate_hz = 48_000
    rng = np.random.default_rng(6)
    time_s = np.arange(30 * rate_hz) / rate_hz
    sound = np.stack([mains(time_s, 50.03, LINES)] * 2, axis=1)
    sound += 1e-4 * rng.standard_normal(sound.shape)
    for place in rng.integers(0, len(sound) - 100, 30):
        sound[place : place + 48] += 0.03 * np.hanning(48)[:, None]
    left = through_listener(Hum(), sound, rate_hz).readings[0]
    assert {line["order"] for line in left.conditions["lines"]} == set(LINES)
    for line in left.conditions["lines"]:
        assert line["level_dbfs"] == pytest.approx(LINES[line["order"]][0], abs=0.1)
    assert left.conditions["bridged_share"] > 0.005
