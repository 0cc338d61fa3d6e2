"""The owner's page: always one page, in plain words."""

from __future__ import annotations

from collections.abc import Callable

import pdf_reader
import pytest

from spindlewright.sheets.owner_words import _HOME_TURNS, home_check
from system_packages import needs

Sheet = Callable[..., bytes]
pytestmark = needs("poppler-utils")


@pytest.mark.parametrize("kind", ["bare_job", "full_job", "huge_job", "job_without_cartridge"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_is_one_page(sheet: Sheet, kind: str, paper: str) -> None:
    assert pdf_reader.pages(sheet("owner", kind, paper)) == 1


def test_it_tells_what_was_wrong_done_and_left_and_how_much_better(sheet: Sheet) -> None:
    told = pdf_reader.text(sheet("owner", "full_job"))
    for words in (
        "It plays too slow.",
        "Lift down did not work.",
        "Belt renewed.",
        "Lid: the owner likes its scratches",
    ):
        assert words in told
    assert "Pitch and tempo: better." in told
    assert "Steadiness of the pitch: better." in told
    assert "Left and right equally loud: no difference could be measured." in told
    assert "Keep fingers off the belt" in told


def test_the_tone_it_names_follows_from_the_speed(sheet: Sheet) -> None:
    """440 Hz at −0.5 % is 437.8 Hz, at −0.28 % 438.768 Hz: arithmetic."""
    assert "440 Hz, sounded at 437.8 Hz; now at 438.8 Hz" in pdf_reader.text(sheet("owner", "full_job"))


def test_it_has_no_jargon(sheet: Sheet) -> None:
    told = pdf_reader.text(sheet("owner", "full_job")).lower()
    for word in ("two-sigma", "crosstalk", "azimuth", "dbfs", "uncertainty", "jcgm", "wow", "undecided"):
        assert word not in told


@pytest.mark.parametrize("rpm", [100.0 / 3.0, 45.0, 3600.0 / 46.0, 50.0 / 3.0])
def test_the_count_at_home_is_right_to_a_quarter_percent(rpm: float) -> None:
    """Seconds for so many turns are 60 turns / rpm; the slack told is about 1 %."""
    _, turns, seconds, slack = _HOME_TURNS[int(rpm)]
    assert 60.0 * turns / rpm == pytest.approx(seconds, rel=0.0035)
    assert slack / seconds == pytest.approx(0.01, rel=0.7)
    assert len(home_check((rpm,))) == 4


def test_a_deck_of_unknown_speeds_has_no_count() -> None:
    assert home_check(()) == ()


def test_a_deck_not_read_at_first_says_why_there_is_nothing_to_compare(sheet: Sheet) -> None:
    told = pdf_reader.text(sheet("owner", "job_without_cartridge"))
    assert "It could not be read on arrival: no cartridge, so there is nothing to compare with." in told
