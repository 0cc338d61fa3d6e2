"""``spindlewright serve`` as a process: it says where it is, answers there, and ends with Ctrl-C."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import spindlewright
from spindlewright.cli import main

SOURCE = Path(spindlewright.__file__).parent.parent


@contextmanager
def served(data: Path, *words: str) -> Iterator[subprocess.Popen[str]]:
    server = subprocess.Popen(
        [sys.executable, "-m", "spindlewright.cli", "serve", "--data", str(data), "--no-browser", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(SOURCE), "PYTHONIOENCODING": "utf-8"},
    )
    try:
        yield server
    finally:
        server.kill()
        server.communicate()


@pytest.mark.slow
def test_it_says_where_it_is_answers_and_ends_with_ctrl_c(tmp_path: Path) -> None:
    with served(tmp_path / "shop", "--json", "--port", "0") as server:
        assert server.stdout
        told = json.loads(server.stdout.readline())
        assert told["address"].startswith("http://127.0.0.1:")
        assert told["data"] == str(tmp_path / "shop")
        with urllib.request.urlopen(told["address"] + "openapi.json", timeout=20) as answer:
            assert json.load(answer)["info"]["title"] == "Spindlewright"
        server.send_signal(signal.SIGINT)
        out, err = server.communicate(timeout=20)
    assert server.returncode == 0
    assert not out
    assert "Ctrl-C ends it" in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("words", "hint"),
    [(["--port", "70000"], "0 to 65535"), (["--port", "x"], "--port"), (["--host", "no.such.place.invalid"], "host")],
)
def test_wrong_use_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], hint: str
) -> None:
    assert main(["serve", "--data", str(tmp_path), "--no-browser", *words]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert hint in line
    assert "itself failed" not in line
