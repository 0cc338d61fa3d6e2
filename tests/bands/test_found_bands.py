"""Bands found in made sides: kinds, times, frequencies, nominals, whatever disturbs them."""

from __future__ import annotations

import numpy as np
import pytest
from band_scenes import Cut, Scene, gap
from found import codes, named, named_scene

from spindlewright.bands.band import LayoutBand
from spindlewright.bands.layout import Layout
from spindlewright.bands.naming import Named

SIDE = [
    Cut("tone", 3150, 12.0, -10.0),
    gap(2.0),
    Cut("left", 1000, 6.0),
    gap(1.0),
    Cut("right", 1000, 6.0),
    gap(0.3),
    Cut("tone", 315, 6.0, -14.0),
    Cut("vertical", 315, 6.0, -14.0),
    Cut("silence", None, 9.0),
    Cut("tone", 3150, 8.0, -10.0),
]


def agree(scene: Scene, result: Named, times_s: float = 0.1) -> None:
    assert [b.kind for b in result.bands] == [p.cut.kind for p in scene.placed]
    for band, placed in zip(result.bands, scene.placed, strict=True):
        assert band.start_s == pytest.approx(placed.start_s, abs=times_s)
        assert band.end_s == pytest.approx(placed.end_s, abs=times_s)
        if placed.cut.hz is not None:
            assert band.nominal_hz == placed.cut.hz
            # a wow of 0.1 % leaves at most that over the turns counted; the rest must be 1e-4
            turns = (placed.end_s - placed.start_s) * 100 / 180
            assert band.frequency_hz == pytest.approx(placed.cut.hz * (1 + scene.speed), rel=1e-4 + 1e-3 / turns / 3)
            driven = max(band.level_dbfs.left, band.level_dbfs.right)
            assert driven == pytest.approx(placed.cut.level_db, abs=0.15)


@pytest.mark.parametrize("rate", [8000, 11025, 44100, 96000])
def test_a_whole_side_at_several_rates(rate: int) -> None:
    scene = Scene(SIDE, rate=rate)
    result = named_scene(scene)
    agree(scene, result)
    assert result.polarity == "known"
    assert codes(result) == set()
    assert result.findings == ()


@pytest.mark.parametrize("speed", [-0.058, -0.02, 0.004, 0.031, 0.058])
def test_speed_errors_up_to_six_percent(speed: float) -> None:
    scene = Scene(SIDE, speed=speed)
    result = named_scene(scene)
    agree(scene, result)
    assert result.speed_ratio == pytest.approx(1 + speed, abs=3e-4)


def test_ticks_hum_rumble_and_noise_disturb_nothing() -> None:
    scene = Scene(SIDE, hum_db=-50.0, rumble_db=-45.0, noise_db=-55.0, ticks_per_minute=60)
    agree(scene, named_scene(scene))


def test_onsets_are_good_to_five_milliseconds() -> None:
    scene = Scene([gap(1.237), *SIDE[:6]], rate=48000, hum_db=-55.0)
    result = named_scene(scene)
    for band, placed in zip(result.bands, scene.placed, strict=True):
        assert band.start_s == pytest.approx(placed.start_s, abs=0.005)


def test_onsets_without_a_gap_are_good_to_five_milliseconds_too() -> None:
    scene = Scene(
        [Cut("tone", 1000, 4.021), Cut("tone", 400, 4.013), Cut("tone", 3150, 4.0)], rate=48000, noise_db=-80
    )
    result = named_scene(scene)
    for band, placed in zip(result.bands, scene.placed, strict=True):
        assert band.start_s == pytest.approx(placed.start_s, abs=0.005)


def test_a_level_step_ends_a_band_and_a_drop_out_does_not() -> None:
    scene = Scene([Cut("tone", 300, 5.0, -18.0), Cut("tone", 300, 5.0, -15.0), gap(0.4), Cut("tone", 300, 5.0, -15.0)])
    result = named_scene(scene)
    assert [round(b.start_s, 1) for b in result.bands] == [1.0, 6.0]
    assert result.bands[1].end_s == pytest.approx(16.4, abs=0.1)


def test_a_slow_rise_and_fall_with_the_platter_is_no_step() -> None:
    """A warped disc swings the level of a treble tone by ±0.9 dB once a turn."""
    rate = 48000
    t = np.arange(20 * rate) / rate
    level = 10 ** (-12 / 20 + 0.9 / 20 * np.sin(2 * np.pi * t / 1.8))
    tone = (level * np.sin(2 * np.pi * 2000 * t))[:, None] * [1.0, 1.0]
    assert len(named(tone.astype(np.float32), rate).bands) == 1


def test_low_tones_down_to_20_hz() -> None:
    cuts = [Cut("tone", 1000, 5.0)]
    for hz in (100, 60, 40, 20):
        cuts += [gap(1.0), Cut("tone", hz, 6.0, -14.0)]
    scene = Scene(cuts, hum_db=-55.0, rumble_db=-50.0)
    result = named_scene(scene)
    assert [b.nominal_hz for b in result.bands] == [1000, 100, 60, 40, 20]
    for band, placed in zip(result.bands, scene.placed, strict=True):
        assert band.start_s == pytest.approx(placed.start_s, abs=0.1)
        assert band.end_s == pytest.approx(placed.end_s, abs=0.1)


@pytest.mark.parametrize("balance", [(1.0, 0.6), (0.5, 1.0)])
def test_a_lateral_tone_out_of_balance_stays_a_tone(balance: tuple[float, float]) -> None:
    result = named_scene(Scene([Cut("tone", 1000, 6.0)], balance=balance))
    assert [b.kind for b in result.bands] == ["tone"]


def test_walls_that_leak_by_minus_15_db_are_told_apart() -> None:
    cuts = [Cut("left", 1000, 6.0), gap(1.0), Cut("right", 1000, 6.0)]
    result = named_scene(Scene(cuts, crosstalk=10 ** (-15 / 20)))
    assert [b.kind for b in result.bands] == ["left", "right"]


def test_a_dead_channel_does_not_make_a_tone_left_only() -> None:
    sound = Scene([Cut("tone", 1000, 6.0)]).sound()
    sound[:, 1] = 0.0
    assert [b.kind for b in named(sound, 16000).bands] == ["tone"]


def test_a_short_silence_is_a_gap_and_a_long_one_a_band() -> None:
    scene = Scene([Cut("tone", 1000, 5.0), gap(4.5), Cut("tone", 1000, 5.0), gap(6.0), Cut("tone", 1000, 5.0)])
    assert [b.kind for b in named_scene(scene).bands] == ["tone", "tone", "silence", "tone"]


def test_hum_in_the_gaps_and_alone_is_silence() -> None:
    scene = Scene([Cut("tone", 3150, 8.0), gap(8.0)], hum_db=-42.0)
    assert [b.kind for b in named_scene(scene).bands] == ["tone", "silence"]
    alone = named_scene(Scene([gap(20.0)], hum_db=-35.0))
    assert [b.kind for b in alone.bands] == ["silence"]
    assert codes(alone) == {"no_tone"}


def test_with_the_arm_lifted_the_whole_time_no_tone_is_missed() -> None:
    lifted = Layout("arm lifted", (LayoutBand("arm lifted", "lifted"),))
    alone = named_scene(Scene([gap(20.0)], hum_db=-35.0), lifted)
    assert [b.kind for b in alone.bands] == ["lifted"]
    assert not codes(alone)


def test_a_tone_at_a_mains_line_is_a_tone() -> None:
    cuts = [Cut("tone", 1000, 6.0), gap(3.0), Cut("tone", 300, 8.0, -16.0), gap(3.0), Cut("tone", 100, 8.0, -16.0)]
    result = named_scene(Scene(cuts, hum_db=-50.0, wow=0.0))
    assert [b.nominal_hz for b in result.bands] == [1000, 300, 100]


def test_a_sweep_with_its_ends() -> None:
    rate, seconds = 48000, 40.0
    t = np.arange(int(rate * seconds)) / rate
    growth = np.log(20000 / 20) / seconds
    sweep = 0.2 * np.sin(2 * np.pi * 20 * (np.exp(growth * t) - 1) / growth)
    rest = np.zeros(2 * rate)
    tone = 0.2 * np.sin(2 * np.pi * 1000 * np.arange(6 * rate) / rate)
    sound = np.concatenate((rest, tone, sweep, rest))[:, None] * [1.0, 1.0]
    sound += np.random.default_rng(1).standard_normal(sound.shape) * 3e-4
    result = named(sound.astype(np.float32), rate)
    assert [b.kind for b in result.bands] == ["tone", "sweep"]
    band = result.bands[1]
    assert band.frequency_hz is None
    assert band.from_hz == pytest.approx(20, rel=0.1)
    assert band.to_hz == pytest.approx(20000, rel=0.02)
    assert band.start_s == pytest.approx(8.0, abs=0.1)
    assert band.end_s == pytest.approx(48.0, abs=0.1)


def test_spot_tones_without_gaps_are_no_sweep() -> None:
    steps = [400, 500, 630, 800, 1000, 1250, 1600]
    scene = Scene([Cut("tone", hz, 2.0) for hz in steps])
    result = named_scene(scene)
    assert [b.nominal_hz for b in result.bands] == steps
    agree(scene, result)


def test_a_noise_band_is_noise() -> None:
    scene = Scene([Cut("tone", 1000, 6.0), gap(2.0), Cut("noise", None, 10.0, -15.0), gap(8.0)])
    result = named_scene(scene)
    assert [b.kind for b in result.bands] == ["tone", "noise", "silence"]
    assert result.bands[1].start_s == pytest.approx(9.0, abs=0.35)


def test_the_lifted_arm_shows_by_a_noise_drop_of_more_than_10_db() -> None:
    rate = 16000
    groove = Scene([Cut("tone", 1000, 8.0), gap(8.0)], rate=rate, noise_db=-60.0).sound()
    air = Scene([gap(8.0)], rate=rate, lead_s=0.0, noise_db=-80.0).sound()
    result = named(np.concatenate((air, groove, air)), rate)
    assert [b.kind for b in result.bands] == ["lifted", "tone", "silence", "lifted"]
    quiet_air = Scene([gap(8.0)], rate=rate, lead_s=0.0, noise_db=-66.0).sound()
    result = named(np.concatenate((quiet_air, groove)), rate)
    assert result.bands[0].kind == "silence"


def test_nothing_recorded_is_silence_with_a_finding() -> None:
    result = named(np.zeros((16000 * 8, 2), dtype=np.float32), 16000)
    assert [b.kind for b in result.bands] == ["silence"]
    assert [f.code for f in result.findings] == ["nothing_recorded"]


@pytest.mark.parametrize("rpm", [100 / 3, 45.0])
def test_the_run_out_ticks_once_a_turn(rpm: float) -> None:
    rate = 16000
    sound = Scene([Cut("tone", 1000, 8.0), gap(30.0)], rate=rate, ticks_per_minute=8).sound()
    pulse = 0.5 * np.hanning(9)[:, None]
    for turn in np.arange(18.0, 38.5, 60 / rpm * 1.004):
        at = int(turn * rate)
        sound[at : at + 9] += pulse.astype(np.float32)
    result = named(sound, rate)
    assert [b.kind for b in result.bands] == ["tone", "silence", "run_out"]
    assert result.bands[2].start_s == pytest.approx(18.0, abs=0.1)


def test_random_ticks_make_no_run_out() -> None:
    for seed in range(5):
        scene = Scene([Cut("tone", 1000, 8.0), gap(30.0)], ticks_per_minute=40, seed=seed)
        assert [b.kind for b in named_scene(scene).bands] == ["tone", "silence"]


def _music(rate: int, seconds: float, held: bool) -> np.ndarray:
    rng = np.random.default_rng(3)
    sound = np.zeros(int(rate * seconds))
    at = 0
    while at < sound.size - 4 * rate:
        length = int(rate * rng.uniform(0.5, 3.0))
        t = np.arange(length) / rate
        shape = np.minimum(1, np.minimum(t, t[::-1]) / 0.02) if held else np.exp(-2 * t) * np.minimum(1, t / 0.01)
        root = 220 * 2 ** (rng.integers(0, 24) / 12)
        for interval in (1.0, 1.26, 1.5):
            sound[at : at + length] += 0.05 * np.sin(2 * np.pi * root * interval * t) * shape
        at += length if held else length // 3
    stereo = sound[:, None] * [1.0, 0.9] + rng.standard_normal((sound.size, 2)) * 1e-3
    return stereo.astype(np.float32)


@pytest.mark.parametrize("held", [True, False])
def test_music_is_no_band(held: bool) -> None:
    rate = 16000
    result = named(np.concatenate((_music(rate, 40.0, held), Scene(SIDE[:5], rate=rate).sound())), rate)
    assert [b.kind for b in result.bands] == ["tone", "left", "right"]
    assert "programme" in {f.code for f in result.findings}


@pytest.mark.parametrize("seconds", [0.0, 0.03, 0.2, 0.6])
def test_a_recording_too_short_for_anything_gives_no_band(seconds: float) -> None:
    t = np.arange(int(16000 * seconds)) / 16000
    sound = (0.2 * np.sin(2 * np.pi * 1000 * t))[:, None] * [1.0, 1.0]
    result = named(sound.astype(np.float32), 16000)
    assert result.bands == ()
    assert "no_tone" in codes(result)


@pytest.mark.parametrize("strongest", [1, 2, 3, 4, 5])
def test_strong_hum_round_the_bands_makes_no_tones(strongest: int) -> None:
    """Hum of -20 dBFS in all, one order 6 dB over the others, in lead-in, gaps and silence alike."""
    cuts = [Cut("tone", 3150, 10.0), gap(1.5), Cut("left", 1000, 6.0), gap(1.0), Cut("right", 1000, 6.0)]
    scene = Scene([*cuts, Cut("silence", None, 7.0)], lead_s=3.0)
    sound = scene.sound().astype(float)
    time_s = np.arange(len(sound)) / scene.rate
    orders = np.array([1, 2, 3, 4, 5, 7])
    peaks = np.where(orders == strongest, 1.0, 0.5)
    peaks *= 10.0 ** (-20.0 / 20.0) / np.sqrt(np.sum(peaks**2))
    for order, peak in zip(orders, peaks, strict=True):
        sound += peak * np.sin(2 * np.pi * 50.01 * order * time_s + order)[:, None] * [1.0, 0.7]
    kinds = [band.kind for band in named(sound.astype(np.float32), scene.rate).bands]
    assert kinds in (["tone", "left", "right", "silence"], ["silence", "tone", "left", "right", "silence"])
