"""Channel balance against hand-mixed tones with known gains, and the lean that a both-channel tone can't rule out."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from carrier_scene import bands_of, baseband, concluded, listened, outputs, sound

from spindlewright.bands.band import LayoutBand
from spindlewright.readings.channel_balance import TILT_UNKNOWN_DB, ChannelBalance
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side


def views(matrix: np.ndarray, kinds: tuple[str, ...], seconds: float = 12.0, **more: float) -> list[np.ndarray]:
    rng = np.random.default_rng(11)
    return [baseband(matrix, kind, seconds, rng, **more) for kind in kinds]  # type: ignore[arg-type]


def test_own_channel_levels_of_single_channel_bands() -> None:
    kinds = ("left", "right", "tone")
    outcome = concluded(ChannelBalance(), bands_of(kinds, 12.0), views(outputs(3.0, 0.02, 1.3), kinds))
    (reading,) = outcome.readings
    assert reading.value == pytest.approx(1.3, abs=max(reading.uncertainty, 0.002))
    assert reading.uncertainty < 0.01
    assert reading.band is None
    assert reading.conditions["bands"] == [0, 1]
    assert reading.conditions["main"] is True


@pytest.mark.parametrize(("hum", "ticks"), [((), 0.0), (((50.0, -50.0), (150.0, -56.0)), 60.0)])
@pytest.mark.parametrize("tone_hz", [315.0, 1000.0])
def test_through_the_listener_within_the_issue_limit(
    tone_hz: float, hum: tuple[tuple[float, float], ...], ticks: float
) -> None:
    rng = np.random.default_rng(12)
    matrix = outputs(-2.0, 0.02j, -0.7)
    kinds = ("left", "right")
    heard = [sound(matrix, k, 8.0, rng, tone_hz=tone_hz, hum=hum, ticks_per_minute=ticks) for k in kinds]
    (reading,) = listened([ChannelBalance()], bands_of(kinds, 8.0, tone_hz), heard)["channel_balance"]
    assert reading.value == pytest.approx(-0.7, abs=0.005)  # the issue allows 0.05
    assert reading.uncertainty < 0.02


def test_unequal_modulation_stated_by_the_layout_is_taken_out() -> None:
    # 8 cm/s peak on one wall, 4 cm/s rms (5.657 peak) on the other: 20 lg (8 / 5.657) = 3.01 dB.
    kinds = ("left", "right")
    cuts = [
        LayoutBand("a", "left", velocity_cm_s=8.0),
        LayoutBand("b", "right", velocity_cm_s=4.0, velocity="rms"),
    ]
    left, right = views(outputs(balance_db=0.5), kinds)
    (reading,) = concluded(ChannelBalance(), bands_of(kinds, 12.0, cuts=cuts), [left * math.sqrt(2.0), right]).readings
    assert reading.value == pytest.approx(0.5, abs=0.005)
    assert reading.conditions["modulation"] == "corrected by the layout"
    assert reading.conditions["modulation_correction_db"] == pytest.approx(-3.0103, abs=1e-4)


def test_one_reading_a_pair_and_the_one_nearest_1_khz_is_main() -> None:
    kinds = ("left", "left", "right", "right")
    nominal = (315.0, 1000.0, 315.0, 1000.0)
    bands = tuple(
        replace(b, nominal_hz=hz, frequency_hz=hz) for b, hz in zip(bands_of(kinds, 6.0), nominal, strict=True)
    )
    outcome = concluded(ChannelBalance(), bands, views(outputs(balance_db=1.0), kinds, 6.0))
    assert [(r.conditions["bands"], r.conditions["main"]) for r in outcome.readings] == [
        ([0, 2], False),
        ([1, 3], True),
    ]


def test_published_size_of_an_unknown_lean() -> None:
    # Readings contract: 2° is 0.61 dB on a both-channel tone; published values 13: 3.3° gives 1 dB.
    assert pytest.approx(0.61, abs=0.005) == TILT_UNKNOWN_DB
    assert 20 * math.log10(math.tan(math.radians(48.3))) == pytest.approx(1.0, abs=0.005)


@pytest.mark.parametrize("tilt_deg", [2.0, -2.0, 0.0])
def test_lateral_tone_alone_carries_the_lean_in_its_uncertainty(tilt_deg: float) -> None:
    kinds = ("tone",)
    (reading,) = concluded(ChannelBalance(), bands_of(kinds, 12.0), views(outputs(tilt_deg, 0.0, 0.4), kinds)).readings
    shift = 20 * math.log10(math.tan(math.radians(45 + tilt_deg)))  # closed form of the contract's model
    assert reading.value == pytest.approx(0.4 + shift, abs=0.005)
    # 95 % of a rectangular of half-width 0.607 dB is 0.577 dB.
    assert reading.uncertainty == pytest.approx(0.577, abs=0.005)
    assert "lean" in reading.method
    assert reading.band == 0


def test_single_channel_pair_keeps_lateral_tones_out() -> None:
    bands = bands_of(("tone", "left", "right"), 5.0)
    facts = Side(48_000.0, bands)
    assert [ChannelBalance().wants(b, facts) for b in bands] == [False, True, True]


def test_recording_with_exchanged_channels_still_reads_and_says_so() -> None:
    kinds = ("left", "right")
    swapped = [v[:, ::-1].copy() for v in views(outputs(0.0, 0.02, 1.0), kinds)]
    (reading,) = concluded(ChannelBalance(), bands_of(kinds, 12.0), swapped, polarity="swapped").readings
    assert reading.value == pytest.approx(1.0, abs=0.005)
    assert "exchanged" in reading.conditions["channels"]


@pytest.mark.parametrize("coils", [0.0, 0.05])
def test_dead_channel_gives_no_reading(coils: float) -> None:
    kinds = ("left", "right")
    dead = views(outputs(0.0, coils), kinds)
    for view in dead:
        view[:, 1] = 0.0
    assert concluded(ChannelBalance(), bands_of(kinds, 12.0), dead).readings == ()


def test_mains_line_on_the_tone_goes_into_the_uncertainty() -> None:
    # 300 Hz is the 6th of 50 Hz: -60 dBFS under a tone of -10.5 dBFS moves its level by up to 0.029 dB.
    kinds = ("left", "right")
    line = {"order": 6, "frequency_hz": 300.0, "level_dbfs": -60.0, "phase_deg": 0.0}
    hum = [
        Reading("hum", -60.0, "dBFS", 0.1, (), "", "", channel=c, conditions={"lines": [line]})  # type: ignore[arg-type]
        for c in ("left", "right")
    ]
    seen = views(outputs(), kinds)
    plain, warned = (
        concluded(ChannelBalance(), bands_of(kinds, 12.0, 300.0), seen, earlier=earlier).readings[0]
        for earlier in ({}, {"hum": hum})
    )
    one = 20 * math.log10(1 + 10 ** ((-60 - 20 * math.log10(0.3)) / 20))
    assert plain.uncertainty < 0.01
    assert 1.2 * one < warned.uncertainty < 2.0 * one
    assert plain.value == warned.value


def test_single_channel_bands_that_do_not_pair_leave_the_lateral_tone() -> None:
    bands = bands_of(("left", "right", "tone"), 5.0)
    bands = (bands[0], replace(bands[1], nominal_hz=10_000.0, frequency_hz=10_000.0), bands[2])
    outcome = concluded(ChannelBalance(), bands, views(outputs(), ("left", "right", "tone"), 5.0))
    assert [r.band for r in outcome.readings] == [2]
