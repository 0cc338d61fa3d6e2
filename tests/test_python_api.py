"""The front door for Python: ``from spindlewright import measure``, in whatever order things were imported before."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

CALL = "; print(measure(sys.argv[1]).reading('speed_deviation').unit)"


@pytest.fixture(scope="module")
def tone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Twelve seconds of 3150 Hz in both channels, with a little noise."""
    path = tmp_path_factory.mktemp("tone") / "tone.wav"
    t = np.arange(12 * 8000) / 8000
    noise = np.random.default_rng(3).normal(0.0, 1e-4, (t.size, 2))
    soundfile.write(path, 0.3 * np.sin(2 * np.pi * 3150 * t)[:, None] + noise, 8000, subtype="PCM_24")
    return path


@pytest.mark.parametrize(
    "imports",
    [
        "from spindlewright import measure",
        "import spindlewright.measure; from spindlewright import measure",
        "from spindlewright import measure; from spindlewright import measure",
        "from spindlewright.measure import measure",
    ],
)
def test_measure_can_be_called_however_it_was_imported(imports: str, tone: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; {imports}{CALL}", str(tone)], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout.strip()) == (0, "%"), done.stderr


def test_importing_the_package_loads_no_engine() -> None:
    code = "import sys, spindlewright; print('numpy' in sys.modules)"
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip()
        == "False"
    )
