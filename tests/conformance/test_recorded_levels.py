"""Recorded velocities: lateral against per wall, peak against rms, and the reference of 10 cm/s.

Source: reference page 20 (derived): per-wall velocity is lateral over √2; the table of the page typed here.
"""

import math

import numpy as np
import pytest

from spindlewright.bands.band import Band, LayoutBand, Levels
from spindlewright.readings.level_reference import LevelReference, reference_levels
from spindlewright.readings.method import Observation, Stretch
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.standards.iec_60098_2020 import riaa_replay_db

TABLE = [  # v cm/s, dB re 5, dB re 3.536, dB re 8, dB re 10, amplitude at 1 kHz um, per wall cm/s
    (1.4, -11.06, -8.05, -15.14, -17.08, 2.23, 0.990),
    (3.54, -3.00, 0.01, -7.08, -9.02, 5.63, 2.503),
    (3.83, -2.32, 0.69, -6.40, -8.34, 6.10, 2.708),
    (5.0, 0.0, 3.01, -4.08, -6.02, 7.96, 3.536),
    (5.42, 0.70, 3.71, -3.38, -5.32, 8.63, 3.833),
    (7.0, 2.92, 5.93, -1.16, -3.10, 11.14, 4.950),
    (7.07, 3.01, 6.02, -1.07, -3.01, 11.25, 4.999),
    (8.0, 4.08, 7.09, 0.0, -1.94, 12.73, 5.657),
    (10.0, 6.02, 9.03, 1.94, 0.0, 15.92, 7.071),
    (14.14, 9.03, 12.04, 4.95, 3.01, 22.50, 9.998),
]
DBFS_OF_10_CM_S_PER_WALL = -12.0
"""Invented gain of the chain."""


def played(kind: str, stated: float, flag: str, direction: str | None, wall_peak: float, tone_hz: float) -> dict:
    """Reference readings by channel from a band cut with ``wall_peak`` cm/s in each driven wall, RIAA replay."""
    gain_db = float(riaa_replay_db(tone_hz)) + DBFS_OF_10_CM_S_PER_WALL
    peak = 10.0 ** ((20.0 * math.log10(wall_peak / 10.0) + gain_db) / 20.0)
    drive = {"left": [1.0, 1e-4], "right": [1e-4, 1.0], "tone": [1.0, 1.0]}[kind]
    noise = 1e-6 * np.random.default_rng(1).standard_normal((8000, 2))
    level = 20.0 * math.log10(peak)
    cut = LayoutBand(
        "reference", kind, tone_hz, velocity_cm_s=stated, velocity=flag, direction=direction, reference=True
    )
    band = Band(0, 0.0, 4.0, kind, Levels(level, level), tone_hz, tone_hz, cut=cut, right_phase_deg=0.0)
    side = Side(48000.0, bands=(band,))
    state = LevelReference().start(Stretch(band, 2000.0, 0.0, tone_hz), side)
    state.feed(peak * np.array(drive)[None, :] * (1.0 + noise) + 0j)
    outcome = LevelReference().conclude([Observation(band, state.observe())], side, {})
    return {reading.channel: reading for reading in outcome.readings}


def referred(readings: dict[str, Reading]) -> tuple[float, float]:
    levels = reference_levels({"level_reference": list(readings.values())})
    assert levels is not None
    assert levels.velocity_known
    return levels.left_dbfs, levels.right_dbfs


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0]} cm/s")
def test_table(row: tuple[float, ...]) -> None:
    """Lateral tone at 1 kHz: velocity over √2 goes to each wall; the page's decibels re 10 bring it to 10 cm/s."""
    v, re_5, re_3536, re_8, re_10, amplitude_um, wall = row
    for reference, printed in ((5.0, re_5), (3.5355, re_3536), (8.0, re_8), (10.0, re_10)):
        assert 20.0 * math.log10(v / reference) == pytest.approx(printed, abs=0.0051)
    assert 1e4 * v / (2.0 * math.pi * 1000.0) == pytest.approx(amplitude_um, abs=0.0051)
    readings = played("tone", v, "peak", "lateral", wall, 1000.0)
    assert set(readings) == {"left", "right"}
    assert readings["left"].conditions["to_10_cm_s_at_1_khz_db"] == pytest.approx(-re_10, abs=0.0051)
    assert referred(readings)[0] == pytest.approx(DBFS_OF_10_CM_S_PER_WALL, abs=0.003)


@pytest.mark.parametrize("channel", ["left", "right"])
def test_single_channel_band_reads_the_wall(channel: str) -> None:
    readings = played(channel, 3.536, "peak", "wall", 3.536, 1000.0)
    assert list(readings) == [channel]
    assert readings[channel].conditions["direction"] == "wall"
    assert referred(readings)[0] == pytest.approx(DBFS_OF_10_CM_S_PER_WALL, abs=0.003)


def test_rms_and_peak_differ_by_3_01_db() -> None:
    """5 cm/s rms lateral is 7.071 peak, 5 per wall."""
    readings = played("tone", 5.0, "rms", "lateral", 5.0, 1000.0)
    assert referred(readings)[0] == pytest.approx(DBFS_OF_10_CM_S_PER_WALL, abs=0.003)


def test_lateral_and_wall_differ_by_another_3_01_db() -> None:
    """A both-channel tone stated per wall: 5 cm/s in each wall is 7.071 lateral."""
    readings = played("tone", 5.0, "peak", "wall", 5.0, 1000.0)
    assert readings["left"].conditions["velocity_cm_s"] == pytest.approx(7.071, abs=0.0005)
    assert referred(readings)[0] == pytest.approx(DBFS_OF_10_CM_S_PER_WALL, abs=0.003)


def test_315_hz_calibration_tone_gives_the_same_reference() -> None:
    """5.509 cm/s at 315 Hz replays as loud as 10 cm/s at 1 kHz (reference page 3, derived)."""
    readings = played("tone", 5.509, "peak", "lateral", 5.509 / math.sqrt(2.0), 315.0)
    assert readings["left"].conditions["to_10_cm_s_at_1_khz_db"] == pytest.approx(0.0, abs=0.001)
    assert referred(readings)[0] == pytest.approx(DBFS_OF_10_CM_S_PER_WALL, abs=0.003)
