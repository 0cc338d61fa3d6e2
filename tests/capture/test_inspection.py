"""Fitness checks on the samples: what must be told, and what must not."""

from __future__ import annotations

import numpy as np
import pytest
from made_sounds import groove_noise, music_like, quantised, tone

from spindlewright.capture.inspection import Inspected, Inspection


def inspect(
    sound: np.ndarray, rate: int = 48000, bits: int | None = 24, channels: int = 2, block: int = 10_000
) -> Inspected:
    inspection = Inspection(rate, channels, bits)
    samples = sound.astype(np.float32)
    for first in range(0, len(samples), block):
        inspection.feed(samples[first : first + block])
    return inspection.result()


def codes(sound: np.ndarray, **how: object) -> dict[str, tuple[str, str | None]]:
    return {item.code: (item.severity, item.channel) for item in inspect(sound, **how).fitness}  # type: ignore[arg-type]


def silence(rate: int, seconds: float) -> np.ndarray:
    return np.zeros((round(rate * seconds), 2))


# ---- clean recordings give no false alarm -----------------------------------------------------------------------


@pytest.mark.parametrize("rate", [8000, 11025, 22050, 44100, 48000, 96000, 192000, 384000])
@pytest.mark.parametrize("bits", [8, 16, 24])
@pytest.mark.parametrize("hertz", [20.0, 50.0, 315.0, 1000.0, 3150.0])
def test_clean_tone_at_every_rate_and_word_length(rate: int, bits: int, hertz: float) -> None:
    assert codes(quantised(tone(rate, 1.5, hertz, peak=0.4), bits), rate=rate, bits=bits) == {}


@pytest.mark.parametrize("bits", [8, 16, 24])
@pytest.mark.parametrize("hertz", [5.0, 20.0, 50.0, 100.0, 997.0, 1000.0, 3000.0, 3150.0, 6000.0, 12000.0, 16000.0])
@pytest.mark.parametrize("phase", [0.0, 0.3927, 0.7854])
def test_clean_tone_that_just_reaches_full_scale(bits: int, hertz: float, phase: float) -> None:
    """No noise at all: the hardest case for a search for flat tops, also where few samples fall in a period."""
    time = np.arange(96000 * 2) / 96000
    sine = np.sin(2 * np.pi * hertz * time + phase)
    sound = quantised(np.stack([sine, 0.5 * np.sin(2 * np.pi * hertz * time + phase + 0.7)], axis=1), bits)
    assert codes(sound, rate=96000, bits=bits) == {}


@pytest.mark.parametrize("wave", ["square", "band_limited_square", "triangle", "third_harmonic"])
def test_waves_of_a_generator_are_not_clipped(wave: str) -> None:
    time = np.arange(48000 * 2) / 48000
    turn = 2 * np.pi * 433 * time
    made = {
        "square": 0.5 * np.sign(np.sin(turn)),
        "band_limited_square": sum(np.sin(k * turn) / k for k in range(1, 22, 2)) * 0.5,
        "triangle": 0.6 * np.arcsin(np.sin(turn)),
        "third_harmonic": 0.6 * (np.sin(turn) + np.sin(3 * turn) / 9.0),
    }[wave]
    other = tone(48000, 2.0)[:, 1]
    assert "clipped" not in codes(quantised(np.stack([made, other], axis=1), 16), bits=16)


def test_music_groove_noise_and_thump_are_clean() -> None:
    thump = silence(48000, 8)
    time = np.arange(9600) / 48000
    thump[48000 : 48000 + 9600] += (0.9 * np.exp(-time * 18) * np.sin(2 * np.pi * 12 * time))[:, None]
    sound = thump + groove_noise(48000, 8)
    sound[2 * 48000 : 7 * 48000] += tone(48000, 5)
    assert codes(sound) == {}
    assert codes(music_like(44100, 6), rate=44100, bits=16) == {}


def test_needle_drop_that_hits_full_scale_spoils_nothing() -> None:
    sound = groove_noise(48000, 8)
    time = np.arange(9600) / 48000
    sound[4800 : 4800 + 9600] += (3.0 * np.exp(-time * 18) * np.sin(2 * np.pi * 12 * time))[:, None]
    sound[2 * 48000 : 7 * 48000] += tone(48000, 5)
    seen = inspect(quantised(sound, 16), bits=16)
    assert seen.clipped_s[0], "the thump is noticed …"
    assert seen.fitness == (), "… but it is no reason to record again"


def test_ticks_at_full_scale_are_not_clipping() -> None:
    sound = tone(48000, 10)
    for place in range(5000, 470_000, 48000):
        sound[place : place + 6] = 1.5
    assert "clipped" not in codes(quantised(sound, 16), bits=16)


@pytest.mark.parametrize("bits", [8, 16, 24])
def test_digital_silence_round_tones_is_no_drop_out(bits: int) -> None:
    gap = silence(48000, 0.3)
    parts = [silence(48000, 2), tone(48000, 2), gap, tone(48000, 2, 3150), silence(48000, 2), tone(48000, 2, 315, 0.1)]
    assert codes(quantised(np.concatenate([*parts, silence(48000, 3)]), bits), bits=bits) == {}


def test_fading_tones_with_short_digital_pauses_are_no_drop_outs() -> None:
    burst = tone(48000, 1)
    fade = np.minimum(1, np.minimum(np.arange(48000), np.arange(48000)[::-1]) / 960)[:, None]
    sound = np.concatenate([burst * fade, silence(48000, 0.2)] * 5)
    assert codes(quantised(sound, 16), bits=16) == {}


def test_left_then_right_band_with_deep_separation_are_two_live_channels() -> None:
    left, right = tone(48000, 4), tone(48000, 4, seed=5)
    left[:, 1] *= 0.003
    right[:, 0] *= 0.003
    assert codes(np.concatenate([left, silence(48000, 1), right])) == {}


def test_left_band_alone_with_45_db_separation_is_no_dead_channel() -> None:
    sound = tone(48000, 5)
    sound[:, 1] = 10 ** (-45 / 20) * sound[:, 0] + groove_noise(48000, 5, 1e-4)[:, 0]
    assert codes(sound) == {}


def test_quiet_16_bit_passage_that_stands_still_by_nature() -> None:
    """50 Hz of two steps: the value holds for hundreds of samples, and the rest is a proper tone."""
    time = np.arange(96000 * 2) / 96000
    quiet = np.stack([np.sin(2 * np.pi * 50 * time), np.cos(2 * np.pi * 50 * time)], axis=1) * 1.6 / 32768
    sound = quantised(np.concatenate([tone(96000, 3), quiet, tone(96000, 3)]), 16)
    assert codes(sound, rate=96000, bits=16) == {}


def test_short_tone_in_long_digital_silence_is_not_quiet() -> None:
    assert codes(np.concatenate([silence(48000, 20), tone(48000, 1.2), silence(48000, 20)])) == {}


# ---- what must be told -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("over_db", [1.0, 3.0, 12.0])
@pytest.mark.parametrize("bits", [8, 16, 24, None])
@pytest.mark.parametrize("hertz", [50.0, 1000.0, 3150.0])
def test_tone_over_full_scale_is_clipped(over_db: float, bits: int | None, hertz: float) -> None:
    time = np.arange(96000 * 3) / 96000
    peak = 10 ** (over_db / 20)
    sound = np.stack([peak * np.sin(2 * np.pi * hertz * time), tone(96000, 3)[:, 1]], axis=1)
    sound = quantised(sound, bits or 24)
    seen = inspect(sound, rate=96000, bits=bits)
    (item,) = [item for item in seen.fitness if item.code == "clipped"]
    assert (item.severity, item.channel) == ("stop", "left")
    # Witness: the overdrive that was put in. Counting whole samples on the limit costs up to one sample a top.
    assert item.evidence["overdrive_db"] == pytest.approx(over_db, rel=0.25)
    start, stop = item.evidence["intervals_s"][0]
    assert start < 0.02
    assert stop > 2.98
    assert "Record again with the level" in item.message


def test_one_sided_clipping_is_found() -> None:
    sound = tone(48000, 3, peak=0.9)
    sound[:, 1] = np.maximum(sound[:, 1], -0.6)
    found = codes(quantised(sound, 24))
    assert found["clipped"] == ("stop", "right")
    assert set(found) <= {"clipped", "offset"}, "cutting one side off also moves the mean"


def test_clipped_before_being_turned_down_is_told_and_located() -> None:
    sound = tone(48000, 6, peak=0.5)
    sound[2 * 48000 : 5 * 48000, 0] = np.clip(sound[2 * 48000 : 5 * 48000, 0], -0.4, 0.4)
    seen = inspect(quantised(sound, 16), bits=16)
    (item,) = seen.fitness
    assert (item.code, item.severity, item.channel) == ("clipped", "stop", "left")
    assert item.evidence["intervals_s"][0] == pytest.approx([2.0, 5.0], abs=0.35), "told chunk by chunk"
    assert item.evidence["limit"] == pytest.approx(0.4, abs=1e-4)
    assert "before that amplifier" in item.message


@pytest.mark.parametrize("noise_db", [-70, -60, -50])
@pytest.mark.parametrize("hertz", [100.0, 1000.0, 3150.0])
def test_clipped_with_noise_on_the_flat_tops(noise_db: int, hertz: float) -> None:
    sound = tone(96000, 4, hertz, peak=0.5)
    sound = np.clip(sound, -0.4, 0.4) + groove_noise(96000, 4, 0.3 * 10 ** (noise_db / 20))
    assert codes(sound, rate=96000) == {"clipped": ("stop", "left")} | {"clipped": ("stop", "right")}


def test_digital_silence_holds_no_sound() -> None:
    (item,) = inspect(silence(48000, 5)).fitness
    assert (item.code, item.severity) == ("too_quiet", "stop")
    assert "no sound at all" in item.message


@pytest.mark.parametrize(
    ("level_dbfs", "bits", "severity"),
    [(-55, 24, "warn"), (-70, 16, "warn"), (-90, 16, "stop"), (-95, 24, "stop"), (-30, 8, "warn")],
)
def test_too_quiet(level_dbfs: float, bits: int, severity: str) -> None:
    sound = quantised(tone(48000, 4, peak=10 ** (level_dbfs / 20)), bits)
    assert codes(sound, bits=bits)["too_quiet"] == (severity, None)


@pytest.mark.parametrize("kind", ["zeros", "constant", "faint noise"])
def test_dead_channel(kind: str) -> None:
    sound = tone(48000, 5)
    sound[:, 0] = {"zeros": 0.0, "constant": 0.004, "faint noise": groove_noise(48000, 5, 1e-4)[:, 0]}[kind]
    found = codes(sound)
    assert found["channel_dead"] == ("stop", "left")
    assert set(found) == {"channel_dead"}


def test_one_channel_recorded_twice() -> None:
    sound = tone(48000, 5)
    sound[:, 1] = sound[:, 0]
    assert codes(sound) == {"mono": ("stop", None)}
    assert codes(sound, channels=1) == {"mono": ("stop", None)}
    sound[:, 1] = -0.7 * sound[:, 0]
    assert codes(quantised(sound, 24)) == {"mono": ("warn", None)}


def test_lateral_tone_through_a_real_cartridge_is_not_mono() -> None:
    """Noise in the two walls is independent: at 60 dB under the tone the channels are still two."""
    sound = tone(48000, 5)
    sound[:, 1] = sound[:, 0] + groove_noise(48000, 5, 1.8e-4)[:, 0]
    assert codes(sound) == {}


@pytest.mark.parametrize("mean", [0.012, -0.2])
def test_offset(mean: float) -> None:
    sound = tone(48000, 4)
    sound[:, 1] += mean
    seen = inspect(sound)
    (item,) = seen.fitness
    assert (item.code, item.severity, item.channel) == ("offset", "warn", "right")
    assert item.evidence["mean"] == pytest.approx(mean, rel=0.01)


@pytest.mark.parametrize("held", ["zeros", "held value"])
@pytest.mark.parametrize("milliseconds", [1.5, 10, 200])
@pytest.mark.parametrize("rate", [44100, 96000, 192000])
def test_drop_out_inside_a_tone(held: str, milliseconds: float, rate: int) -> None:
    sound = tone(rate, 6)
    places = [round(1.2345 * rate), round(4.4 * rate)]
    length = round(milliseconds * rate / 1000)
    for place in places:
        sound[place : place + length] = 0.0 if held == "zeros" else sound[place] * 0.5
    seen = inspect(quantised(sound, 24), rate=rate)
    (item,) = seen.fitness
    assert (item.code, item.severity, item.channel) == ("drop_out", "warn", None)
    for channel in range(2):
        assert [start for start, _ in seen.held_s[channel]] == pytest.approx(
            [p / rate for p in places], abs=2.5 / rate
        )
        assert [stop - start for start, stop in seen.held_s[channel]] == pytest.approx(
            [length / rate] * 2, abs=3 / rate
        )


def test_drop_out_in_one_channel_and_across_a_chunk_edge() -> None:
    rate = 48000
    sound = tone(rate, 6)
    edge = 2 ** round(np.log2(0.34 * rate)) * 3
    sound[edge - 200 : edge + 300, 1] = 0.0
    seen = inspect(sound, rate=rate)
    (item,) = seen.fitness
    assert (item.code, item.channel) == ("drop_out", "right")
    assert seen.held_s[1][0] == pytest.approx(((edge - 200) / rate, (edge + 300) / rate))


# ---- figures and manners ----------------------------------------------------------------------------------------


def test_figures_against_numpy() -> None:
    sound = tone(48000, 7.123, peak=0.3)
    sound[:, 0] += 0.05
    seen = inspect(sound)
    samples = sound.astype(np.float32).astype(np.float64)
    assert seen.peak == pytest.approx(tuple(np.abs(samples).max(axis=0)), rel=1e-6)
    assert seen.rms == pytest.approx(tuple(np.sqrt((samples**2).mean(axis=0))), rel=1e-4)
    assert seen.mean == pytest.approx(tuple(samples.mean(axis=0)), abs=2e-4)
    assert seen.duration_s == pytest.approx(7.123)


@pytest.mark.parametrize("block", [1, 64, 127, 16384, 65536, 10**9])
def test_block_size_changes_nothing(block: int) -> None:
    sound = tone(8000, 3, peak=0.6)
    sound[9000:9100] = 0.0
    sound[:, 0] = np.clip(sound[:, 0], -0.5, 0.5)
    assert inspect(sound, rate=8000, block=block) == inspect(sound, rate=8000, block=1000)


def test_asking_in_between_disturbs_nothing() -> None:
    sound = tone(8000, 4).astype(np.float32)
    asked, plain = Inspection(8000, 2, 24), Inspection(8000, 2, 24)
    for first in range(0, len(sound), 999):
        asked.feed(sound[first : first + 999])
        asked.result()
        plain.feed(sound[first : first + 999])
    assert asked.result() == plain.result()


@pytest.mark.parametrize("frames", [0, 1, 2, 3, 17, 500])
def test_hardly_any_samples(frames: int) -> None:
    seen = inspect(tone(48000, 1)[:frames])
    assert seen.duration_s == pytest.approx(frames / 48000)
    assert all(item.severity == "stop" for item in seen.fitness)


def test_gain_and_polarity_change_only_levels() -> None:
    sound = tone(48000, 4, peak=0.2)
    sound[90_000:90_300] = 0.0
    a, b = inspect(sound), inspect(-2.0 * sound)
    assert [item.code for item in a.fitness] == [item.code for item in b.fitness] == ["drop_out"]
    assert a.held_s == b.held_s
    assert b.rms == pytest.approx(tuple(2 * value for value in a.rms))
