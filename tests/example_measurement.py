"""A measurement made by hand, for tests of what is printed: no engine is involved."""

from __future__ import annotations

import numpy as np

from spindlewright.bands.band import Band, LayoutBand, Levels
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.measurement import CaptureInfo, Measurement
from spindlewright.readings.reading import Curve, Finding, Reading
from spindlewright.standards.jcgm_101_2008 import Contribution
from spindlewright.standards.limits import Limit

CAPTURE = CaptureInfo(
    file="listening-room [side A].wav",
    sha256="ab" * 32,
    sample_rate_hz=96_000,
    channels=2,
    duration_s=163.25,
    bits=24,
)
TONE = Band(
    index=0,
    start_s=2.04,
    end_s=62.06,
    kind="tone",
    level_dbfs=Levels(-14.9, -15.1),
    frequency_hz=np.float64(3163.02),
    nominal_hz=3150.0,
    cut=LayoutBand(name="Speed", kind="tone", nominal_hz=3150.0),
)
SWEEP = Band(
    index=1,
    start_s=64.0,
    end_s=80.0,
    kind="sweep",
    level_dbfs=Levels(-20.0, float("-inf")),
    from_hz=20.0,
    to_hz=20_000.0,
)
SILENCE = Band(index=2, start_s=82.0, end_s=112.0, kind="silence", level_dbfs=Levels(-62.3, -61.8))


def reading(quantity: str, value: float, uncertainty: float, unit: str, **more: object) -> Reading:
    """One reading with a one-line budget."""
    fields: dict[str, object] = {
        "budget": (Contribution("noise", uncertainty / 2, "normal"),),
        "method": "made by hand",
        "source": "example",
    }
    return Reading(quantity=quantity, value=value, unit=unit, uncertainty=uncertainty, **(fields | more))  # type: ignore[arg-type]


HIFI = "example limits"


def example(**changes: object) -> Measurement:
    """The whole example; ``changes`` replace fields."""
    fields: dict[str, object] = {
        "capture": CAPTURE,
        "fitness": (
            FitnessItem(
                "clipped",
                "stop",
                "212 samples stand at full scale. Record again 6 dB lower.",
                "left",
                {"count": np.int64(212)},
            ),
            FitnessItem("many_ticks", "warn", "31 ticks a minute; clean the disc."),
        ),
        "bands": (TONE, SWEEP, SILENCE),
        "readings": (
            reading(
                "speed_deviation",
                0.4134,
                0.0951,
                "%",
                band=0,
                conditions={"main": True},
                limit=Limit(-1.0, 1.5, HIFI),
                verdict="within",
            ),
            reading("speed_deviation", 0.401, 0.0955, "%", band=3, limit=Limit(-1.0, 1.5, HIFI), verdict="within"),
            reading("rotation_rate", 33.4711, 0.0317, "rpm", band=0, conditions={"main": True}),
            reading(
                "wow_flutter_weighted",
                0.1962,
                0.0061,
                "%",
                band=0,
                conditions={"main": True},
                limit=Limit(None, 0.2, HIFI),
                verdict="undecided",
            ),
            reading("crosstalk_left_to_right", -18.2, 0.3, "dB", limit=Limit(None, -20.0, HIFI), verdict="outside"),
            reading("hum", -80.2, 0.5, "dB", channel="left", band=2, conditions={"below_noise": True}),
        ),
        "findings": (Finding("off_centre", "The disc lies 0.2 mm off centre.", {"offset_mm": np.float32(0.2)}, 0),),
        "curves": None,
    }
    return Measurement(**(fields | changes))  # type: ignore[arg-type]


CURVE = Curve("deviation_over_time", np.linspace(0.0, 1.0, 5), "s", np.zeros(5), "%", 0)
