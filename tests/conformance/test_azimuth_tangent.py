"""Crosstalk of a headshell that leans, and the lean read back from it.

Source: reference page 13 (derived): ideal axes turned by θ leak tan θ with opposite signs both ways.
"""

import numpy as np
import pytest

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.azimuth import Azimuth
from spindlewright.readings.crosstalk import Crosstalk
from spindlewright.readings.method import Observation, Stretch
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side

TABLE = [
    (0.25, -47.204),
    (0.5, -41.183),
    (1.0, -35.162),
    (1.5, -31.639),
    (2.0, -29.138),
    (3.0, -25.612),
    (4.0, -23.107),
    (5.0, -21.161),
    (6.0, -19.568),
    (10.0, -15.074),
]
INVERSE = [(-15.0, 10.08), (-20.0, 5.711), (-25.0, 3.219), (-30.0, 1.811), (-35.0, 1.019), (-40.0, 0.573)]
RATE_HZ = 2000.0


def readings_of_a_lean(tilt_deg: float, gain_db: float = 0.0, common: float = 0.0) -> dict[str, Reading]:
    """Readings from the two outputs of a cartridge leaning by ``tilt_deg``; left stronger by ``gain_db``.

    L' = c·l + s·r, R' = -s·l + c·r (contract page), each plus ``common`` of the other, with a trace of noise.
    """
    c, s = np.cos(np.radians(tilt_deg)), np.sin(np.radians(tilt_deg))
    gain = 10.0 ** (gain_db / 20.0)
    rng = np.random.default_rng(5)
    bands, seen = [], {}
    for index, kind in enumerate(("left", "right")):
        drive = np.array([1.0, 0.0]) if kind == "left" else np.array([0.0, 1.0])
        left, right = np.array([[c, s], [-s, c]]) @ drive
        outputs = 0.1 * np.array([gain * (left + common * right), right + common * left])
        noise = 1e-7 * rng.standard_normal((20000, 2, 2))
        rows = np.exp(0.3j) * outputs[None, :] + noise[..., 0] + 1j * noise[..., 1]
        levels = Levels(*(20.0 * np.log10(np.abs(outputs) + 1e-9)))
        band = Band(index, 12.0 * index, 12.0 * index + 10.0, kind, levels, 1000.0, 1000.0)
        state = Crosstalk().start(Stretch(band, RATE_HZ, band.start_s, 1000.0), Side(96000.0))
        state.feed(rows)
        bands.append(band)
        seen[index] = Observation(band, state.observe())
    side = Side(96000.0, bands=tuple(bands), polarity="known")
    observations = list(seen.values())
    made = [
        *Crosstalk().conclude(observations, side, {}).readings,
        *Azimuth().conclude(observations, side, {}).readings,
    ]
    return {reading.quantity: reading for reading in made}


@pytest.mark.parametrize(("tilt_deg", "crosstalk_db"), TABLE)
def test_lean_gives_the_published_crosstalk_both_ways(tilt_deg: float, crosstalk_db: float) -> None:
    readings = readings_of_a_lean(tilt_deg)
    for quantity in ("crosstalk_left_to_right", "crosstalk_right_to_left"):
        assert readings[quantity].value == pytest.approx(crosstalk_db, abs=0.002)
    assert readings["crosstalk_left_to_right"].conditions["in_phase"] < 0.0
    assert readings["crosstalk_right_to_left"].conditions["in_phase"] > 0.0


@pytest.mark.parametrize(("tilt_deg", "crosstalk_db"), TABLE)
def test_lean_is_read_back(tilt_deg: float, crosstalk_db: float) -> None:
    assert readings_of_a_lean(tilt_deg)["azimuth_error"].value == pytest.approx(tilt_deg, abs=0.001)
    assert readings_of_a_lean(-tilt_deg)["azimuth_error"].value == pytest.approx(-tilt_deg, abs=0.001)


@pytest.mark.parametrize(("crosstalk_db", "tilt_deg"), INVERSE)
def test_inverse_table(crosstalk_db: float, tilt_deg: float) -> None:
    assert readings_of_a_lean(tilt_deg)["crosstalk_left_to_right"].value == pytest.approx(crosstalk_db, abs=0.008)


def test_main_channel_hardly_changes() -> None:
    """20 log10 cos θ: 1° -0.0013 dB, 5° -0.033 dB; so a lean is no balance error on single-channel bands."""
    assert 20.0 * np.log10(np.cos(np.radians(1.0))) == pytest.approx(-0.0013, abs=5e-5)
    assert 20.0 * np.log10(np.cos(np.radians(5.0))) == pytest.approx(-0.033, abs=5e-4)
    assert readings_of_a_lean(5.0)["azimuth_error"].conditions["balance_db"] == pytest.approx(0.0, abs=1e-4)


def test_worked_case_c12_of_trade_practice() -> None:
    """Left-only leaks +0.055 to the right, right-only -0.032 to the left: -2.5°, common part +0.012."""
    tangent, common = (-0.032 - 0.055) / 2.0, (-0.032 + 0.055) / 2.0
    assert np.degrees(np.arctan(tangent)) == pytest.approx(-2.5, abs=0.02)
    readings = readings_of_a_lean(float(np.degrees(np.arctan(tangent))), common=common)
    assert readings["azimuth_error"].value == pytest.approx(-2.5, abs=0.02)
    assert readings["symmetric_crosstalk"].value == pytest.approx(20.0 * np.log10(0.0115), abs=0.05)


def test_unequal_outputs_are_taken_out_first() -> None:
    assert readings_of_a_lean(2.0, gain_db=3.0)["azimuth_error"].value == pytest.approx(2.0, abs=0.001)
