"""The command line as a process: quick help, closed pipes, no litter on standard output, real measuring."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

COMMAND = [sys.executable, "-m", "spindlewright.cli"]


@pytest.fixture(scope="module")
def tone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Fifteen seconds of 3160 Hz (3150 played 0.3175 % fast) with a little noise, made by numpy alone."""
    path = tmp_path_factory.mktemp("tone") / "tone [1].wav"
    t = np.arange(15 * 16_000) / 16_000
    noise = np.random.default_rng(5).normal(0.0, 1e-4, (t.size, 2))
    soundfile.write(path, 0.3 * np.sin(2 * np.pi * 3160.0 * t)[:, None] + noise, 16_000, subtype="PCM_24")
    return path


def spindlewright(*words: object, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *map(str, words)],
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, **environment},
        check=False,
    )


@pytest.mark.parametrize("words", [["--help"], ["measure", "--help"], ["disc", "learn", "--help"], ["--version"]])
def test_help_loads_nothing_heavy(words: list[str]) -> None:
    code = (
        "import sys; from spindlewright.cli import main; main(sys.argv[1:]);"
        "print(sorted({'numpy', 'scipy', 'soundfile', 'soxr'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
    assert done.stdout.strip()


def test_a_real_recording_gives_its_speed_as_one_line_of_json(tone: Path) -> None:
    done = spindlewright("measure", tone, "--json")
    assert done.returncode == 0
    assert done.stderr == ""
    (line,) = done.stdout.splitlines()
    readings = json.loads(line)["readings"]
    speed = next(reading for reading in readings if reading["quantity"] == "speed_deviation")
    assert speed["value"] == pytest.approx(100 * (3160 / 3150 - 1), abs=0.001)


def test_the_same_recording_as_a_page(tone: Path) -> None:
    done = spindlewright("measure", tone, COLUMNS="80")
    assert done.returncode == 0
    assert done.stderr == ""
    assert "The deck runs 0.317" in done.stdout
    assert "tone [1].wav" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_a_terminal_without_the_signs_gets_substitutes(tone: Path) -> None:
    done = subprocess.run(
        [*COMMAND, "measure", tone],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
        check=False,
    )
    assert done.returncode == 0
    assert done.stdout.isascii()


@pytest.mark.parametrize("words", [["--help"], ["disc", "list"], ["disc", "list", "--json"]])
def test_a_reader_that_leaves_is_no_failure(words: list[str]) -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)
    done = subprocess.run([*COMMAND, *words], stdout=write_end, stderr=subprocess.PIPE, text=True, check=False)
    os.close(write_end)
    assert (done.returncode, done.stderr) == (0, "")


def test_completion_is_written_for_the_shell_that_is_named(tmp_path: Path) -> None:
    done = spindlewright("--install-completion", "--shell", "bash", HOME=str(tmp_path))
    assert done.returncode == 0, done.stderr
    scripts = [path for path in tmp_path.rglob("spindlewright") if path.is_file()]
    assert len(scripts) == 1
    assert "measure" in scripts[0].read_text(encoding="utf-8")
