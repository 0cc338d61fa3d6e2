"""``spindlewright disc``: what is learned comes back as a layout; nothing is overwritten in silence."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from example_measurement import SILENCE, SWEEP, TONE
from spindlewright.bands.layout import layout_from_toml
from spindlewright.cli import main
from spindlewright.cli.known_discs import find_layout

LEARN = ["disc", "learn", "side.wav", "--name", "Blue sleeve"]


@pytest.fixture(autouse=True)
def _pretend_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    def find_bands(path: Path, **options: Any) -> tuple[Any, ...]:
        return () if path.name == "empty.wav" else (TONE, SWEEP, SILENCE)

    monkeypatch.setitem(sys.modules, "spindlewright.measure", SimpleNamespace(find_bands=find_bands))


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SPINDLEWRIGHT_DATA", str(tmp_path))
    return tmp_path


def test_what_was_found_and_said_is_kept_as_a_layout(shop: Path) -> None:
    of_band = ["--band-name", "0=Speed", "--nominal", "0=3000", "--velocity", "0=3,5rms", "--reference", "0"]
    of_disc = ["--rpm", "45", "--speed-error", "0,03", "--speed-uncertainty", "0.02"]
    assert main([*LEARN, *of_band, *of_disc]) == 0
    layout = layout_from_toml((shop / "discs" / "Blue sleeve.toml").read_text(encoding="utf-8"), "x")
    assert (layout.rpm, layout.speed_error_percent, layout.speed_uncertainty_percent) == (45.0, 0.03, 0.02)
    tone, sweep, silence = layout.bands
    assert (tone.name, tone.kind, tone.nominal_hz, tone.reference) == ("Speed", "tone", 3000.0, True)
    assert (tone.velocity_cm_s, tone.velocity) == (3.5, "rms")
    assert (sweep.kind, sweep.nominal_hz, sweep.to_hz) == ("sweep", 20.0, 20000.0)
    assert (silence.kind, silence.duration_s) == ("silence", 30.0)


def test_a_band_called_dash_is_left_out(shop: Path) -> None:
    assert main([*LEARN, "--band-name", "1=-", "--band-name", "2=-"]) == 0
    assert [band.kind for band in find_layout("blue SLEEVE", shop).bands] == ["tone"]


def test_a_disc_is_overwritten_only_on_request(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(LEARN) == 0
    kept = (shop / "discs" / "Blue sleeve.toml").read_text(encoding="utf-8")
    capsys.readouterr()
    assert main([*LEARN, "--speed-error", "1"]) == 2
    assert "--replace" in capsys.readouterr().err
    assert (shop / "discs" / "Blue sleeve.toml").read_text(encoding="utf-8") == kept
    assert main([*LEARN, "--speed-error", "1", "--replace"]) == 0
    assert find_layout("Blue sleeve", shop).speed_error_percent == 1.0


@pytest.mark.parametrize("name", ["../escape", "a/b", "", ".hidden", "a" * 81, "tab\tname\x07", "c:d"])
def test_a_name_that_can_be_no_file_is_refused(shop: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["disc", "learn", "side.wav", "--name", name]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert list(shop.rglob("*.toml")) == []


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        ("--band-name 9=x", "no band 9"),
        ("--band-name x", "number"),
        ("--nominal 0=fast", "--nominal"),
        ("--nominal 0=0", "allowed"),
        ("--velocity 0=-3", "allowed"),
        ("--reference 7", "no band 7"),
        ("--speed-error 50", "allowed"),
        ("--speed-uncertainty -1", "--speed-uncertainty"),
    ],
)
def test_wrong_answers_are_one_line_and_nothing_is_kept(
    shop: Path, words: str, hint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*LEARN, *words.split()]) == 2
    assert hint in capsys.readouterr().err.splitlines()[-1]
    assert list(shop.rglob("*.toml")) == []


def test_without_a_person_the_name_must_be_given(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["disc", "learn", "side.wav"]) == 2
    assert "--name" in capsys.readouterr().err


def test_a_recording_without_bands_teaches_nothing(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["disc", "learn", "empty.wav", "--name", "x"]) == 2
    assert "no band was found" in capsys.readouterr().err


class Person(io.StringIO):
    """Standard input with somebody typing."""

    def isatty(self) -> bool:
        return True


def test_questions_are_asked_until_they_are_understood(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = ["a/b", "Blue sleeve", "Speed", "fast", "3150", "5", "", "-", "nought", "0", "0,05", ""]
    monkeypatch.setattr("sys.stdin", Person("\n".join(answers) + "\n"))
    monkeypatch.setattr("spindlewright.cli.disc_learn.can_ask", lambda: True)
    assert main(["disc", "learn", "side.wav"]) == 0
    layout = find_layout("Blue sleeve", shop)
    assert [band.name for band in layout.bands] == ["Speed", "sweep 20 to 20000 Hz"]
    assert layout.bands[0].reference
    assert layout.bands[0].velocity_cm_s == 5.0
    assert (layout.speed_error_percent, layout.speed_uncertainty_percent) == (0.05, 0.02)


def test_answers_that_end_early_keep_nothing(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", Person("Blue sleeve\n"))
    monkeypatch.setattr("spindlewright.cli.disc_learn.can_ask", lambda: True)
    assert main(["disc", "learn", "side.wav"]) == 2
    assert "nothing was kept" in capsys.readouterr().err
    assert list(shop.rglob("*.toml")) == []


def test_list_and_show_know_the_learned_disc(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main([*LEARN, "--title", "Side A [mono]"])
    capsys.readouterr()
    assert main(["disc", "list", "--json"]) == 0
    rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert {row["name"]: row["origin"] for row in rows}["Blue sleeve"] == "shop"
    assert main(["disc", "list"]) == 0
    assert "Side A [mono]" in capsys.readouterr().out
    assert main(["disc", "show", "Blue sleeve"]) == 0
    assert "3150 Hz" in capsys.readouterr().out
    assert main(["disc", "show", "Blue sleeve", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["bands"]) == 3


def test_one_damaged_disc_does_not_hide_the_others(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(LEARN)
    (shop / "discs" / "damaged.toml").write_text("[[band]]\nkind = 5\n", encoding="utf-8")
    capsys.readouterr()
    assert main(["disc", "list"]) == 2
    captured = capsys.readouterr()
    assert "Blue sleeve" in captured.out
    assert "damaged" in captured.err


def test_a_disc_that_nobody_knows_is_answered_with_those_that_are(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(LEARN)
    capsys.readouterr()
    assert main(["disc", "show", "green sleeve"]) == 2
    assert "Blue sleeve" in capsys.readouterr().err


def test_shipped_layouts_can_all_be_shown(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["disc", "list", "--json"]) == 0
    for line in capsys.readouterr().out.splitlines():
        assert main(["disc", "show", json.loads(line)["name"]]) == 0
        assert max(map(len, capsys.readouterr().out.splitlines())) <= 80
