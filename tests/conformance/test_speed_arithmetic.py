"""From a tone's frequency to speed and rate of rotation.

Source: reference page 2.1 (derived): 3141.2 Hz from a 3150 Hz band is -0.27937 %, 33.24021 rpm; 78 is 3600/46 =
78.26087 rpm by a 60 Hz lamp and 77.92208 by a 50 Hz one, 0.4348 % apart.
"""

import math

import numpy as np
import pytest

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.listener import Listener
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.readings.speed import Speed

RATE_HZ = 16000.0


def readings_of(tone_hz: float, nominal_hz: float, rpm: float, seconds: float = 4.0) -> dict[str, Reading]:
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    sound = 0.2 * np.cos(2.0 * math.pi * tone_hz * t + 0.7)
    found_hz = tone_hz * (1.0 + 3e-5)  # the bands' own figure is good to 1e-4 only
    level = 20.0 * math.log10(0.2)
    band = Band(0, 0.0, seconds, "tone", Levels(level, level), found_hz, nominal_hz, right_phase_deg=0.0)
    side = Side(RATE_HZ, bands=(band,), rpm=rpm, main_band=0)
    listener = Listener(band, side, (Speed(),), 0.0)
    listener.feed(np.stack([sound, sound], axis=1).astype(np.float32))
    outcome = Speed().conclude([seen for _, seen in listener.finish()], side, {})
    return {reading.quantity: reading for reading in outcome.readings}


@pytest.mark.parametrize(
    ("tone_hz", "nominal_hz", "rpm", "percent", "rate_rpm"),
    [
        (3141.2, 3150.0, 100.0 / 3.0, -0.27937, 33.24021),
        (3150.0, 3150.0, 100.0 / 3.0, 0.0, 33.33333),
        (3150.0, 3150.0, 3600.0 / 46.0, 0.0, 78.26087),
        (3136.3636, 3150.0, 3600.0 / 46.0, -0.43290, 77.92208),
        (1002.506, 1000.0, 45.0, 0.2506, 45.11277),
    ],
)
def test_worked_cases(tone_hz: float, nominal_hz: float, rpm: float, percent: float, rate_rpm: float) -> None:
    readings = readings_of(tone_hz, nominal_hz, rpm)
    assert readings["speed_deviation"].value == pytest.approx(percent, abs=1.1e-5)
    assert readings["rotation_rate"].value == pytest.approx(rate_rpm, abs=1.1e-5)


def test_the_default_uncertainty_is_that_of_an_unknown_disc() -> None:
    """Disc 0.1 %, clock 0.01 %, spiral 0.01 %, all rectangular: drawn at random, 95 % of the sums lie inside."""
    reading = readings_of(3150.0, 3150.0, 100.0 / 3.0)["speed_deviation"]
    draw = np.random.default_rng(1)
    sums = sum(draw.uniform(-half, half, 1_000_000) for half in (0.1, 0.01, 0.01))
    assert reading.uncertainty == pytest.approx(float(np.quantile(np.abs(sums), 0.95)), abs=2e-4)
    assert [line.distribution for line in reading.budget if line.name == "disc"] == ["rectangular"]
