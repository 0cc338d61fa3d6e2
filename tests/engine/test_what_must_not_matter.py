"""Time shift, gain, polarity, exchanged channels and another sample rate change only the readings they must.

The witness is the side before the change, and the arithmetic of the change itself.
"""

from __future__ import annotations

import numpy as np
import pytest
import soxr
from made_side import SHORT, made_side
from measured_sound import Measured

from spindlewright.measurement import Measurement
from spindlewright.readings.reading import Reading

RATE_HZ = 32000
Key = tuple[str, str | None, int | None]
ABSOLUTE = {"level_reference"}
"""Readings in dBFS, which follow the gain."""
FLUTTER_FILTER_DB = 0.05
"""Every rate has its own digital flutter filters, each kept this near to the definition."""
FLUTTER = {
    "wow_flutter_weighted",
    "wow_flutter_weighted_quasi_peak",
    "wow_flutter_weighted_rms",
    "wow_flutter_unweighted",
    "wow",
    "flutter",
}
WIDE_BAND = {"surface_noise", "clicks_per_minute"}
"""Readings whose band ends at the Nyquist limit."""


@pytest.fixture(scope="module")
def sound() -> np.ndarray:
    return made_side(RATE_HZ, SHORT)


def by_key(side: Measurement) -> dict[Key, Reading]:
    return {(r.quantity, r.channel, r.band): r for r in side.readings}


def random_part(reading: Reading) -> float:
    """What noise may move a reading by: its uncertainty without the disc and the clock."""
    lines = [c.standard_uncertainty for c in reading.budget if c.name not in ("disc", "clock")]
    return float(np.sqrt(np.sum(np.square(lines))))


def assert_equal(one: Reading, other: Reading, *, share: float, rel: float, add: float = 0.0) -> None:
    allowed = max(share * random_part(one), rel * abs(one.value), 1e-12)
    assert abs(other.value - one.value - add) <= allowed, (one, other)


@pytest.mark.parametrize("shift_s", [0.0123, 0.5, 1.37])
def test_time_shift_moves_the_bands_only(shift_s: float, sound: np.ndarray, measured: Measured) -> None:
    """The same samples with more of the same noise in front."""
    frames = round(shift_s * RATE_HZ)
    front = made_side(RATE_HZ, SHORT.later_by(1.0), seed=3)[:frames]
    before, after = measured(sound, RATE_HZ), measured(np.concatenate([front, sound]), RATE_HZ)
    assert [b.kind for b in before.bands] == [b.kind for b in after.bands]
    for a, b in zip(before.bands, after.bands, strict=True):
        assert b.start_s - a.start_s == pytest.approx(shift_s, abs=0.05)
    found = by_key(after)
    assert found.keys() == by_key(before).keys()
    for key, reading in by_key(before).items():
        assert_equal(reading, found[key], share=1.0, rel=5e-3)


@pytest.mark.parametrize("gain_db", [-17.3, 9.0])
def test_gain_moves_levels_re_full_scale_only(gain_db: float, sound: np.ndarray, measured: Measured) -> None:
    before = by_key(measured(sound, RATE_HZ))
    after = by_key(measured(sound * 10.0 ** (gain_db / 20.0), RATE_HZ))
    assert after.keys() == before.keys()
    for key, reading in before.items():
        add = gain_db if reading.quantity in ABSOLUTE else 0.0
        assert_equal(reading, after[key], share=0.05, rel=1e-5, add=add)
    hum = ("hum", "left", 3)
    for a, b in zip(before[hum].conditions["lines"], after[hum].conditions["lines"], strict=True):
        assert b["level_dbfs"] - a["level_dbfs"] == pytest.approx(gain_db, abs=1e-3)


def test_polarity_of_both_channels_moves_phases_only(sound: np.ndarray, measured: Measured) -> None:
    before, after = by_key(measured(sound, RATE_HZ)), by_key(measured(-sound, RATE_HZ))
    assert after.keys() == before.keys()
    for key, reading in before.items():
        assert_equal(reading, after[key], share=1e-3, rel=1e-6)
    lines = before["hum", "left", 3].conditions["lines"], after["hum", "left", 3].conditions["lines"]
    for a, b in zip(*lines, strict=True):
        assert abs((b["phase_deg"] - a["phase_deg"]) % 360.0) == pytest.approx(180.0, abs=1e-3)
    once = "once_per_revolution", None, 0
    assert after[once].conditions["phase_deg"] == pytest.approx(before[once].conditions["phase_deg"], abs=1e-3)


def test_polarity_of_one_channel_is_noticed_and_taken_out(sound: np.ndarray, measured: Measured) -> None:
    before, turned = measured(sound, RATE_HZ), measured(sound * np.array([1.0, -1.0]), RATE_HZ)
    assert "inverted" not in {f.code for f in (*before.findings, *before.fitness)}
    assert "inverted" in {f.code for f in (*turned.findings, *turned.fitness)}
    assert [b.kind for b in turned.bands] == [b.kind for b in before.bands]
    found = by_key(turned)
    for key, reading in by_key(before).items():
        assert_equal(reading, found[key], share=1e-3, rel=1e-6)
    assert "doubtful" in found["azimuth_error", None, None].conditions["sign"]
    leak = "crosstalk_left_to_right", None, 1
    step = found[leak].conditions["phase_deg"] - by_key(before)[leak].conditions["phase_deg"]
    assert abs(step % 360.0) == pytest.approx(180.0, abs=1e-6)


def test_exchanged_channels_exchange_the_readings(sound: np.ndarray, measured: Measured) -> None:
    before = measured(sound, RATE_HZ)
    after = by_key(measured(np.ascontiguousarray(sound[:, ::-1]), RATE_HZ))
    other = {"left": "right", "right": "left"}
    names = {
        "crosstalk_left_to_right": "crosstalk_right_to_left",
        "crosstalk_right_to_left": "crosstalk_left_to_right",
    }
    for (quantity, channel, band), reading in by_key(before).items():
        found = after[names.get(quantity, quantity), other.get(channel or "", channel), band]
        sign = -1.0 if quantity in ("channel_balance", "azimuth_error") else 1.0
        allowed = max(0.02 * random_part(reading), 1e-6 * abs(reading.value), 1e-9)
        assert abs(sign * found.value - reading.value) <= allowed, (reading, found)


@pytest.mark.parametrize("rate_hz", [22050, 44100, 96000])
def test_another_sample_rate_leaves_readings_below_both_nyquist_limits_alone(
    rate_hz: int, sound: np.ndarray, measured: Measured
) -> None:
    resampled = soxr.resample(sound, RATE_HZ, rate_hz, quality="VHQ")
    before, after = measured(sound, RATE_HZ), measured(resampled, rate_hz)
    assert [b.kind for b in before.bands] == [b.kind for b in after.bands]
    found = by_key(after)
    assert found.keys() == by_key(before).keys()
    for key, reading in by_key(before).items():
        if reading.quantity in FLUTTER:
            assert_equal(reading, found[key], share=0.3, rel=10.0 ** (FLUTTER_FILTER_DB / 20.0) - 1.0)
        elif reading.quantity not in WIDE_BAND:
            assert_equal(reading, found[key], share=0.3, rel=2e-4)
