"""Reference level: which band it is, what it reads, and how it is referred to 10 cm/s peak at 1 kHz."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from carrier_scene import bands_of, baseband, concluded, outputs

from spindlewright.bands.band import Band, LayoutBand, Levels
from spindlewright.readings.level_reference import LevelReference, reference_bands, reference_levels
from spindlewright.readings.reading import Reading


def views(kinds: tuple[str, ...], balance_db: float = 0.0) -> list[np.ndarray]:
    rng = np.random.default_rng(41)
    return [baseband(outputs(0.0, 0.0, balance_db), kind, 5.0, rng, noise_db=-70.0) for kind in kinds]


def at(bands: tuple[Band, ...], *nominal: float) -> tuple[Band, ...]:
    return tuple(replace(b, nominal_hz=hz, frequency_hz=hz) for b, hz in zip(bands, nominal, strict=True))


def read(
    kinds: tuple[str, ...],
    nominal: float,
    cuts: list[LayoutBand | None] | None = None,
    balance_db: float = 0.0,
    chain: str = "riaa",
) -> list[Reading]:
    bands = bands_of(kinds, 5.0, nominal, cuts)
    return list(concluded(LevelReference(), bands, views(kinds, balance_db), chain=chain).readings)


def test_single_channel_bands_give_their_own_level() -> None:
    left, right = read(("left", "right"), 1000.0, balance_db=2.0)
    # amplitude 0.3 of full scale is -10.458 dBFS (AES17), ±1 dB of balance.
    assert left.value == pytest.approx(-9.458, abs=0.005)
    assert right.value == pytest.approx(-11.458, abs=0.005)
    assert (left.channel, right.channel) == ("left", "right")
    assert left.conditions["direction"] == "wall"
    assert left.conditions["velocity_known"] is False
    assert left.uncertainty < 0.01


def test_lateral_tone_gives_its_level_per_channel_plus_3_01_db() -> None:
    left, right = read(("tone",), 1000.0, balance_db=1.0)
    assert left.value == pytest.approx(-10.458 + 0.5 + 3.0103, abs=0.005)
    assert right.value == pytest.approx(-10.458 - 0.5 + 3.0103, abs=0.005)
    assert left.conditions["direction"] == "lateral"


def test_choice_of_the_band() -> None:
    tones = at(bands_of(("tone", "tone", "tone"), 5.0), 3150.0, 315.0, 1000.0)
    assert [b.index for b in reference_bands(tones)] == [2]
    assert reference_bands(at(bands_of(("tone",), 5.0), 3150.0)) == ()
    assert reference_bands(at(bands_of(("vertical",), 5.0), 1000.0)) == ()
    assert [b.index for b in reference_bands(at(bands_of(("tone",), 5.0), 300.0))] == [0]
    assert [b.index for b in reference_bands(at(bands_of(("tone",), 5.0), 1250.0))] == [0]
    assert reference_bands(at(bands_of(("tone",), 5.0), 299.0)) == ()
    pair = at(bands_of(("tone", "left", "right", "right"), 5.0), 3150.0, 315.0, 1000.0, 315.0)
    assert {b.index for b in reference_bands(pair)} == {2}  # no left-only partner at 1 kHz
    flagged = list(at(bands_of(("tone", "tone"), 5.0), 1000.0, 3150.0))
    flagged[1] = replace(flagged[1], cut=LayoutBand("cal", "tone", reference=True))
    assert [b.index for b in reference_bands(flagged)] == [1]


def test_published_315_hz_calibration_comes_out_as_10_cm_s_at_1_khz() -> None:
    # Published values 3: RIAA at 315 Hz is 5.179 dB, so 5.509 cm/s peak there equals 10 cm/s peak at 1 kHz.
    cut = LayoutBand("rumble reference", "left", nominal_hz=315.0, velocity_cm_s=5.509, direction="wall")
    (left,) = read(("left",), 315.0, [cut])
    assert left.conditions["to_10_cm_s_at_1_khz_db"] == pytest.approx(0.0, abs=0.001)
    levels = reference_levels({"level_reference": [left]})
    assert levels is not None
    assert levels.velocity_known
    assert levels.left_dbfs == levels.right_dbfs == pytest.approx(-10.458, abs=0.005)


@pytest.mark.parametrize(
    ("velocity", "flag", "direction", "kind", "referral"),
    [
        # Published values 20: v in dB re 10 cm/s; rms is 3.01 dB below peak; per wall 3.01 dB below lateral.
        (5.0, "peak", "wall", "left", 6.02),
        (5.0, "rms", "wall", "left", 3.01),
        (8.0, "peak", "lateral", "tone", 1.94),
        (7.0, "peak", "lateral", "tone", 3.10),
        (3.536, "peak", "wall", "tone", 6.02),
        (10.0, "peak", "lateral", "left", 3.01),
    ],
)
def test_referral_to_10_cm_s(velocity: float, flag: str, direction: str, kind: str, referral: float) -> None:
    cut = LayoutBand("ref", kind, velocity_cm_s=velocity, velocity=flag, direction=direction)  # type: ignore[arg-type]
    reading = read((kind,), 1000.0, [cut])[0]
    assert reading.conditions["to_10_cm_s_at_1_khz_db"] == pytest.approx(referral, abs=0.006)
    assert reading.conditions["velocity"] == flag


def test_any_cut_of_one_deck_refers_to_the_same_level() -> None:
    # One pick-up: output = sensitivity × velocity of the wall; a lateral velocity V gives each wall V/√2.
    sensitivity = 0.05  # full scale per cm/s peak, at 1 kHz
    rng = np.random.default_rng(42)
    expected = 20 * math.log10(sensitivity * 10.0)
    for kind, cut, wall in (
        ("left", LayoutBand("a", "left", velocity_cm_s=4.0), 4.0),
        ("tone", LayoutBand("b", "tone", velocity_cm_s=4.0), 4.0 / math.sqrt(2.0)),
        ("tone", LayoutBand("c", "tone", velocity_cm_s=4.0, direction="wall"), 4.0),
        ("tone", LayoutBand("d", "tone", velocity_cm_s=4.0, velocity="rms"), 4.0),
    ):
        bands = bands_of((kind,), 5.0, 1000.0, [cut])
        view = baseband(outputs(), kind, 5.0, rng, amplitude=sensitivity * wall, noise_db=-80.0)
        levels = reference_levels({"level_reference": list(concluded(LevelReference(), bands, [view]).readings)})
        assert levels is not None
        assert levels.left_dbfs == pytest.approx(expected, abs=0.005), cut.name


def test_flat_chain_is_equalised_here_and_says_so() -> None:
    # A flat chain gives velocity alone; after RIAA 315 Hz is 5.179 dB higher (published values 4).
    cut = LayoutBand("ref", "left", nominal_hz=315.0, velocity_cm_s=10.0)
    (riaa,) = read(("left",), 315.0, [cut])
    (flat,) = read(("left",), 315.0, [cut], chain="flat")
    assert flat.value - riaa.value == pytest.approx(5.179, abs=0.001)
    assert flat.conditions["equalised_here"] is True
    # 10 cm/s at any frequency gives a flat chain the level of 10 cm/s at 1 kHz, where RIAA is 0 dB:
    levels = reference_levels({"level_reference": [flat]})
    assert levels is not None
    assert levels.left_dbfs == pytest.approx(-10.458, abs=0.005)


def test_unknown_chain_gives_the_level_but_no_referral() -> None:
    cut = LayoutBand("ref", "left", velocity_cm_s=10.0)
    (reading,) = read(("left",), 1000.0, [cut], chain="unknown")
    assert reading.conditions["to_10_cm_s_at_1_khz_db"] is None
    levels = reference_levels({"level_reference": [reading]})
    assert levels is not None
    assert not levels.velocity_known


def test_velocity_stated_for_one_wall_serves_the_other_when_both_come_out_alike() -> None:
    cuts = [LayoutBand("l", "left", velocity_cm_s=5.0, reference=True), LayoutBand("r", "right", reference=True)]
    left, right = read(("left", "right"), 1000.0, cuts, balance_db=1.0)
    # 20·log10(10/5) = 6.0206 dB (closed form)
    assert left.conditions["to_10_cm_s_at_1_khz_db"] == pytest.approx(6.0206, abs=1e-3)
    assert right.conditions["to_10_cm_s_at_1_khz_db"] == pytest.approx(6.0206, abs=1e-3)
    assert (left.conditions["velocity_stated_for_band"], right.conditions["velocity_stated_for_band"]) == (0, 0)
    levels = reference_levels({"level_reference": [left, right]})
    assert levels is not None
    assert levels.velocity_known
    bands = bands_of(("left", "right"), 5.0, 1000.0, cuts)
    apart = (bands[0], replace(bands[1], level_dbfs=Levels(-40.0, -18.0)))  # 6 dB weaker: cut otherwise
    unlike = concluded(LevelReference(), apart, views(("left", "right"))).readings
    assert [r.conditions["velocity_known"] for r in unlike] == [True, False]


def test_no_reference_is_none() -> None:
    assert reference_levels({}) is None


def test_exchanged_channels_keep_the_recordings_own_channel() -> None:
    # The reference serves levels of the recording's channels: the disc's left, 1 dB up, is the recording's right.
    kinds = ("left", "right")
    swapped = [v[:, ::-1].copy() for v in views(kinds, balance_db=2.0)]
    first, second = concluded(LevelReference(), bands_of(kinds, 5.0), swapped).readings
    assert (first.channel, second.channel) == ("right", "left")
    assert first.value == pytest.approx(-9.458, abs=0.005)
    assert "exchanged" in first.conditions["channels"]
