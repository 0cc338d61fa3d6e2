"""Fixtures of the tests of the whole path from a file to readings."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
from measured_sound import Measured

from spindlewright.measure import measure
from spindlewright.measurement import Measurement


@pytest.fixture
def measured(tmp_path: Path) -> Measured:
    """Writes samples (n, 2) as a 32-bit float WAV and measures it."""

    def write_and_measure(sound: np.ndarray, rate_hz: int, **options: object) -> Measurement:
        path = tmp_path / f"side-{len(list(tmp_path.iterdir()))}.wav"
        soundfile.write(path, sound.astype(np.float32), rate_hz, subtype="FLOAT")
        return measure(path, **options)  # type: ignore[arg-type]

    return write_and_measure
