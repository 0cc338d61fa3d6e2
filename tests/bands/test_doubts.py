"""What is doubtful about a side: each code on a side that deserves it, and none on clean ones."""

from __future__ import annotations

import numpy as np
import pytest
from band_scenes import Cut, Scene, gap
from found import codes, named, named_scene

from spindlewright.bands.mains_hum import mains_hum
from spindlewright.signal.survey import Survey

SIDE = [
    Cut("tone", 3150, 12.0),
    gap(4.0),
    Cut("left", 1000, 8.0, -15.0),
    gap(4.0),
    Cut("right", 1000, 8.0, -15.0),
    gap(4.0),
    Cut("tone", 1000, 8.0, -15.0),
    Cut("silence", None, 12.0),
]


@pytest.mark.parametrize("seed", range(4))
def test_a_clean_side_raises_no_doubt(seed: int) -> None:
    rng = np.random.default_rng(seed)
    scene = Scene(
        SIDE,
        speed=rng.uniform(-0.03, 0.03),
        hum_db=float(rng.uniform(-75, -50)),
        rumble_db=float(rng.uniform(-65, -45)),
        noise_db=float(rng.uniform(-80, -58)),
        ticks_per_minute=float(rng.uniform(0, 25)),
        seed=seed,
    )
    assert codes(named_scene(scene)) == set()


def _gain_control(sound: np.ndarray, rate: int, attack_s: float, release_s: float) -> np.ndarray:
    """A gain that follows the level: down within the attack time, up within the release time."""
    step = rate // 100
    gain_db = 0.0
    out = sound.copy()
    for start in range(0, len(sound), step):
        part = sound[start : start + step]
        wanted = np.clip(-20 - 10 * np.log10((part**2).mean() + 1e-12), -30, 20)
        gain_db += (wanted - gain_db) * 0.01 / (attack_s if wanted < gain_db else release_s)
        out[start : start + step] = part * 10 ** (gain_db / 20)
    return out


@pytest.mark.parametrize(("attack_s", "release_s"), [(0.3, 2.0), (0.05, 0.8), (1.0, 3.0)])
def test_automatic_gain_is_noticed(attack_s: float, release_s: float) -> None:
    sound = Scene(SIDE, ticks_per_minute=10, hum_db=-60.0).sound()
    result = named(_gain_control(sound, 16000, attack_s, release_s), 16000)
    item = next(i for i in result.fitness if i.code == "gain_changes")
    assert item.severity == "stop"
    assert item.evidence["noise_swells_db"] > 4.0


@pytest.mark.parametrize(("true_rate", "stated_rate"), [(48000, 44100), (44100, 48000), (22050, 24000)])
@pytest.mark.parametrize("mains", [50.0, 60.0])
@pytest.mark.parametrize("orders", [(1, 2, 3, 4), (1, 3)])
def test_a_wrong_sample_rate_is_told_by_the_hum(
    true_rate: int, stated_rate: int, mains: float, orders: tuple[int, ...]
) -> None:
    scene = Scene(SIDE[:4], rate=true_rate)
    sound = scene.sound()
    t = np.arange(len(sound)) / true_rate
    for order, peak in ((1, 1e-3), (2, 4e-4), (3, 6e-4), (4, 2e-4)):
        if order not in orders:
            continue
        sound += (peak * np.sin(2 * np.pi * mains * order * t))[:, None].astype(np.float32)
    right = named(sound, true_rate)
    assert "wrong_sample_rate" not in codes(right)
    wrong = named(sound, stated_rate)
    item = next(i for i in wrong.fitness if i.code == "wrong_sample_rate")
    assert item.evidence["likely_rate_hz"] == pytest.approx(true_rate, rel=0.006)
    assert item.evidence["hum_hz"] == pytest.approx(mains * stated_rate / true_rate, rel=1e-3)
    assert [b.nominal_hz for b in wrong.bands] == [b.nominal_hz for b in right.bands]


def test_rumble_and_motor_lines_near_the_mains_are_no_wrong_rate() -> None:
    """A broad resonance at 55 Hz and motor lines at 24, 48 and 54.4 Hz that have no common series."""
    sound = Scene(SIDE, noise_db=-65.0).sound()
    t = np.arange(len(sound)) / 16000
    for hz, peak in ((24.0, 3e-3), (48.0, 1e-3), (54.4, 2e-3), (16.7, 2e-3)):
        sound += (peak * np.sin(2 * np.pi * hz * t))[:, None].astype(np.float32)
    spectrum = np.fft.rfft(np.random.default_rng(2).standard_normal(sound.shape), axis=0)
    hz_axis = np.fft.rfftfreq(len(sound), 1 / 16000)
    spectrum *= np.exp(-(((hz_axis - 55) / 5) ** 2))[:, None]
    rumble = np.fft.irfft(spectrum, len(sound), axis=0)
    sound += (rumble / rumble.std() * 2e-3).astype(np.float32)
    assert codes(named(sound, 16000)) == set()


def test_a_drowned_tone() -> None:
    drowned = named_scene(Scene(SIDE, hum_db=-10.0))
    assert ("hum_drowned", "stop") in {(i.code, i.severity) for i in drowned.fitness}
    assert "hum_drowned" not in codes(named_scene(Scene(SIDE, hum_db=-40.0)))


def test_no_tone_and_too_short() -> None:
    assert codes(named_scene(Scene([gap(20.0)]))) == {"no_tone"}
    assert codes(named_scene(Scene([Cut("tone", 1000, 4.0)]))) == {"too_short"}


@pytest.mark.parametrize(("per_minute", "many"), [(20, False), (120, True)])
def test_many_ticks(per_minute: int, many: bool) -> None:
    result = named_scene(Scene(SIDE, ticks_per_minute=per_minute, tick_peak=0.5))
    assert ("many_ticks" in codes(result)) == many


def test_all_tones_opposite_means_one_channel_is_upside_down() -> None:
    sound = Scene(SIDE).sound() * np.array([1.0, -1.0], dtype=np.float32)
    result = named(sound, 16000)
    assert [b.kind for b in result.bands] == ["tone", "left", "right", "tone", "silence"]
    assert result.polarity == "inverted"
    assert codes(result) == {"inverted"}
    assert [f.code for f in result.findings] == ["inverted"]


def test_right_before_left_is_a_suspicion_only() -> None:
    result = named(Scene(SIDE).sound()[:, ::-1].copy(), 16000)
    assert [b.kind for b in result.bands] == ["tone", "right", "left", "tone", "silence"]
    item = next(i for i in result.fitness if i.code == "swapped")
    assert (item.severity, item.evidence["by_layout"]) == ("warn", False)


def test_polarity_is_assumed_without_a_tone_in_both_channels() -> None:
    assert named_scene(Scene([Cut("left", 1000, 9.0), gap(1.0), Cut("right", 1000, 9.0)])).polarity == "assumed"


def test_every_message_says_what_to_do() -> None:
    sides = [
        Scene([gap(20.0)]),
        Scene([Cut("tone", 3100, 4.0)]),
        Scene(SIDE, hum_db=-10.0),
        Scene(SIDE, speed=0.35, wow=0.0),
        Scene(SIDE, ticks_per_minute=200),
    ]
    for scene in sides:
        for item in named_scene(scene).fitness:
            assert item.message.count(".") >= 2
            assert "\n" not in item.message


def _one_dead(noise_db: float, hum_db: float, leak: float) -> np.ndarray:
    """Left-only bands; the right channel holds hum and noise, and ``leak`` of the tone."""
    scene = Scene([Cut("left", 1000, 9.0), gap(2.0), Cut("left", 315, 9.0)], crosstalk=leak, noise_db=noise_db)
    sound = scene.sound().astype(float)
    time_s = np.arange(len(sound)) / scene.rate
    sound[:, 1] += 10.0 ** (hum_db / 20.0) * np.sin(2 * np.pi * 50.0 * time_s)
    return sound.astype(np.float32)


def test_an_open_coil_that_only_hums_is_a_dead_channel() -> None:
    result = named(_one_dead(-70.0, -35.0, 0.0), 16000)
    item = next(i for i in result.fitness if i.code == "channel_dead")
    assert (item.severity, item.channel) == ("stop", "right")
    assert [b.kind for b in result.bands] == ["tone", "tone"]


@pytest.mark.parametrize("leak_db", [-20.0, -30.0, -40.0])
def test_left_only_bands_with_their_crosstalk_leave_no_channel_dead(leak_db: float) -> None:
    result = named(_one_dead(-70.0, -60.0, 10.0 ** (leak_db / 20.0)), 16000)
    assert [b.kind for b in result.bands] == ["left", "left"]
    assert "channel_dead" not in codes(result)


def test_a_suspicion_of_exchanged_channels_stops_nothing_and_says_what_it_rests_on() -> None:
    result = named(Scene(SIDE).sound()[:, ::-1].copy(), 16000)
    assert [i.severity for i in result.fitness] == ["warn"]
    (finding,) = result.findings
    assert finding.code == "swapped"
    assert finding.message.startswith("A suspicion only")
    assert "most discs cut left first" in finding.message


def test_one_too_short_note_is_enough() -> None:
    assert sorted(codes(named_scene(Scene([Cut("tone", 1000, 5.0), gap(1.0)])))) == ["too_short"]
    # below a second the file itself is too short, which the checks on the samples say
    assert "too_short" not in codes(named_scene(Scene([Cut("tone", 1000, 0.95)], lead_s=0.0)))


def test_known_mains_decide_which_lines_are_hum() -> None:
    """A clear line at 60 and 120 Hz is hum of 60 Hz mains, and not looked for where the mains are known as 50 Hz."""
    scene = Scene([Cut("tone", 3150, 9.0), Cut("silence", None, 14.0)])
    sound = scene.sound().astype(float)
    time_s = np.arange(len(sound)) / scene.rate
    for hz in (60.0, 120.0):
        sound += 0.003 * np.sin(2 * np.pi * hz * time_s)[:, None]
    survey = Survey(scene.rate)
    survey.feed(sound.astype(np.float32))
    as_found, as_50, as_60 = (mains_hum(survey.result(), mains_hz=mains) for mains in (None, 50.0, 60.0))
    assert as_found is not None
    assert as_found.frequency_hz == pytest.approx(60.0, abs=0.05)
    assert as_60 == as_found
    assert as_50 is None
