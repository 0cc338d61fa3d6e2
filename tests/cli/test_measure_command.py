"""``spindlewright measure``: which calls it makes, what it prints, how it ends. The engine is a pretend one here."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from example_measurement import CURVE, example
from spindlewright.cli import main
from spindlewright.cli.app import run
from spindlewright.measurement import Measurement


class PretendEngine:
    """Stands for ``spindlewright.measure``: keeps what it was asked, answers with the example or an error."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, dict[str, Any]]] = []
        self.answers: dict[str, Measurement | Exception] = {}

    def measure(self, path: Path, **options: Any) -> Measurement:
        self.asked.append((str(path), options))
        answer = self.answers.get(str(path), example())
        if isinstance(answer, Exception):
            raise answer
        return answer


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> PretendEngine:
    pretend = PretendEngine()
    monkeypatch.setitem(sys.modules, "spindlewright.measure", SimpleNamespace(measure=pretend.measure))
    return pretend


def test_defaults_ask_for_nothing_special(engine: PretendEngine) -> None:
    assert main(["measure", "a.wav"]) == 0
    path, options = engine.asked[0]
    assert path == "a.wav"
    assert options["chain"] == "riaa"
    assert options["curves"] is False
    assert [options[name] for name in ("rpm", "layout", "mains_hz", "arm")] == [None] * 4


def test_options_arrive_as_values(engine: PretendEngine) -> None:
    words = [
        "measure",
        "a.wav",
        "--rpm",
        "78",
        "--mains",
        "60",
        "--chain",
        "flat",
        "--arm",
        "230,5mm;21,2cm",
        "--curves",
    ]
    assert main(words) == 0
    options = engine.asked[0][1]
    assert options["rpm"] == 3600 / 46
    assert options["mains_hz"] == 60.0
    assert options["chain"] == "flat"
    assert options["curves"] is True
    assert options["arm"].effective_length_mm == 230.5
    assert options["arm"].pivot_to_spindle_mm == 212.0


def test_json_prints_one_object_a_line_and_nothing_else(
    engine: PretendEngine, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["measure", "a.wav", "b.wav", "--json"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 2
    assert all(json.loads(line)["capture"]["channels"] == 2 for line in lines)


def test_one_bad_file_does_not_stop_the_others(engine: PretendEngine, capsys: pytest.CaptureFixture[str]) -> None:
    engine.answers["bad.wav"] = ValueError("bad.wav is not a sound file. Give a WAV or FLAC file.")
    assert main(["measure", "bad.wav", "a.wav", "--json"]) == 2
    captured = capsys.readouterr()
    assert len(captured.out.splitlines()) == 1
    assert captured.err.splitlines() == ["spindlewright: bad.wav is not a sound file. Give a WAV or FLAC file."]


@pytest.mark.parametrize(
    "failure",
    [
        ZeroDivisionError("float division"),
        MemoryError(),
        PermissionError(13, "Permission denied", "a.wav"),
        ValueError("two\nlines"),
        RuntimeError(),
    ],
)
def test_no_failure_shows_a_traceback_and_each_is_one_line_with_the_file(
    engine: PretendEngine, capsys: pytest.CaptureFixture[str], failure: Exception
) -> None:
    engine.answers["a.wav"] = failure
    assert main(["measure", "a.wav"]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert len(captured.err.splitlines()) == 1
    assert "a.wav" in captured.err


def test_readings_outside_change_the_status_only_when_asked(engine: PretendEngine) -> None:
    assert main(["measure", "a.wav"]) == 0
    assert main(["measure", "a.wav", "--fail-outside"]) == 1
    engine.answers["good.wav"] = example(readings=())
    assert main(["measure", "good.wav", "--fail-outside"]) == 0
    engine.answers["bad.wav"] = ValueError("unreadable")
    assert main(["measure", "a.wav", "bad.wav", "--fail-outside"]) == 2


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["measure"], "spindlewright measure RECORDING.wav"),
        (["measure", "a.wav", "--rpm", "fast"], "--rpm"),
        (["measure", "a.wav", "--arm", "230"], "230mm,212mm"),
        (["measure", "a.wav", "--arm", "212mm,230mm"], "effective length first"),
        (["measure", "a.wav", "--mains", "55"], "50"),
        (["measure", "a.wav", "--chain", "valve"], "riaa"),
        (["measure", "a.wav", "--speed", "33"], "spindlewright measure --help"),
        (["mesure", "a.wav"], "measure"),
        (["disc", "frobnicate"], "spindlewright disc --help"),
        (["bands"], "spindlewright bands --help"),
    ],
)
def test_wrong_use_is_one_line_that_says_what_to_do(
    engine: PretendEngine, capsys: pytest.CaptureFixture[str], words: list[str], hint: str
) -> None:
    assert main(words) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert len(captured.err.splitlines()) == 1
    assert hint in captured.err
    assert engine.asked == []


def test_ctrl_c_ends_with_one_word(
    engine: PretendEngine, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*_: Any, **__: Any) -> Measurement:
        raise KeyboardInterrupt

    monkeypatch.setattr(sys.modules["spindlewright.measure"], "measure", interrupted)
    assert run(["measure", "a.wav"]) == 130
    assert capsys.readouterr().err == "spindlewright: Stopped.\n"


def test_the_page_says_fitness_first_then_one_headline_then_readings_findings_and_bands(
    engine: PretendEngine, capsys: pytest.CaptureFixture[str]
) -> None:
    engine.answers["a.wav"] = example(curves=(CURVE,))
    assert main(["measure", "a.wav", "--curves"]) == 0
    page = capsys.readouterr().out
    places = [
        page.index(text)
        for text in (
            "STOP",
            "The deck runs",
            "Speed deviation",
            "Crosstalk, left to right",
            "off centre",
            "Bands",
            "Curves",
        )
    ]
    assert places == sorted(places)


def test_verdicts_read_in_words(engine: PretendEngine, capsys: pytest.CaptureFixture[str]) -> None:
    main(["measure", "a.wav"])
    page = capsys.readouterr().out
    assert "within" in page
    assert "outside" in page
    assert "too close to call, because" in page
    assert "undecided" not in page


@pytest.mark.parametrize("columns", ["40", "60", "80", "200"])
def test_the_page_fits_80_columns(
    engine: PretendEngine, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    main(["measure", "a.wav"])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 80


def test_brackets_in_names_and_messages_are_printed_as_they_are(
    engine: PretendEngine, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["measure", "a.wav"])
    assert "listening-room [side A].wav" in capsys.readouterr().out
