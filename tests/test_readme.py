"""What the README shows of ``measure`` is what ``measure`` prints: words alike, figures alike to their last place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from spindlewright.cli import main

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
FIGURE = re.compile(r"\d+(?:\.\d+)?")
LEFT_OUT = "(and so on"


def shown() -> list[str]:
    """The lines of the example, without the closing remark."""
    text = README.partition("## What it prints")[2].partition("```\n")[2].partition("```")[0]
    return [line.rstrip() for line in text.splitlines() if not line.startswith(LEFT_OUT)]


def commands() -> list[list[str]]:
    """The command lines named above the example."""
    told = " ".join(README.partition("## What it prints")[2].partition("```")[0].split())
    return [found.split()[1:] for found in re.findall(r"`(spindlewright [^`]+)`", told)]


@pytest.mark.slow
def test_the_example_is_what_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    simulate, measure = commands()
    assert main(simulate) == 0
    capsys.readouterr()
    assert main(measure) == 0
    printed = [line.rstrip() for line in capsys.readouterr().out.splitlines()]
    lines = shown()
    while lines and not lines[-1]:
        lines.pop()
    assert len(lines) > 20
    for line, really in zip(lines, printed, strict=False):
        if "SHA-256" in line:  # the last bit of a sample may differ from machine to machine
            line, really = line.partition("SHA-256")[0], really.partition("SHA-256")[0]
        assert FIGURE.sub("#", line) == FIGURE.sub("#", really)
        for figure, fresh in zip(FIGURE.findall(line), FIGURE.findall(really), strict=True):
            last_place = 10.0 ** -len(figure.partition(".")[2])
            assert float(figure) == pytest.approx(float(fresh), abs=1.01 * last_place), really
