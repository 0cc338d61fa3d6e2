"""The service sheet says what the job holds, in the figures of the job, and leaves out what there is not.

Witnesses: the numbers put in by ``sheet_jobs``; their printed form follows from "two digits of the uncertainty".
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pdf_reader
import pytest
import sheet_jobs

from spindlewright.readings.reading import Limit
from spindlewright.readings.repeats import Pooled
from spindlewright.sheets.compared_rows import verdict_of
from spindlewright.shop.hand_readings import typed_reading, withdraw_reading
from spindlewright.shop.job_card import job_card
from spindlewright.shop.store import Shop
from system_packages import needs

Sheet = Callable[..., bytes]
pytestmark = needs("poppler-utils")


@pytest.mark.parametrize(
    "words",
    [
        *("Service sheet", "belt deck, unit 7", "S-77", "belt, servo motor", "Town library", "Bench of the tests"),
        *("Workshop lane, invented", "2026-03-02", "It plays too slow.", "Lid scratched.", "one foot"),
        *("Left and right are exchanged.", "Lift down: does not work.", "Belt renewed.", "parts: flat belt"),
        *("said yes on 2026-03-02, by telephone, up to 60.00 EUR", "Soak run of 90 min, ran through.", "A mono voice"),
        *("the owner likes its scratches", "stylus scale of the tests", "bench target of the tests"),
        *("guard-banded by JCGM 106", "95 %", "relates only to the item measured", "not accredited"),
        *("55.00 EUR", "with its old belt", "the test bench", "Pull the mains plug", "48 kHz, 24 bit, 1 min 2 s"),
        *("method of speed_deviation", "own definition", "end of the service sheet of job"),
    ],
)
def test_the_sheet_holds(sheet: Sheet, words: str) -> None:
    assert words in pdf_reader.text(sheet("service", "full_job"))


def test_a_finding_and_the_move_it_leads_to_are_told_once_with_the_figure(sheet: Sheet) -> None:
    """The speed of −0.5 % was put in; a finding that a move repeats stands there once."""
    told = pdf_reader.text(sheet("service", "full_job"))
    found = told[told.index("What was found") : told.index("What was done")]
    assert re.search(r"It turns 0\.500 ± 0\.040 % slow", found)
    assert len(re.findall(r"Advised: ", found)) >= 1
    assert found.count("Left and right are exchanged.") == 1


def rows(pdf: bytes) -> str:
    """The text as it lies on the page, so that a row of a table is a line."""
    return "\n".join(" ".join(line.split()) for line in pdf_reader.run("pdftotext", pdf, "-layout").splitlines())


def test_figures_are_those_of_the_readings_with_their_verdicts_and_outcomes(sheet: Sheet) -> None:
    told = rows(sheet("service", "full_job"))
    assert re.search(r"Speed deviation, % −0\.500 ± 0\.040 −0\.280 ± 0\.040 −0\.3 to \+0\.3 ?a better", told)
    assert re.search(r"outside too close to call", told)
    assert re.search(r"Weighted, two-sigma, % 0\.250 ± 0\.010 0\.100 ± 0\.010 better", told)
    assert re.search(r"Balance, left minus right, dB \+0\.512 ± 0\.031 \+0\.520 ± 0\.031 no change shown", told) or (
        re.search(r"Balance, left minus right, dB \+0\.51 ± 0\.03 \+0\.52 ± 0\.03 no change shown", told)
    )


def test_a_reading_of_one_state_only_stands_with_a_dash(sheet: Sheet) -> None:
    pdf = sheet("service", "full_job")
    assert re.search(r"Start time of tests, s 3\.00 ± 0\.20 –", rows(pdf))
    assert "Start time of tests: not read after" in pdf_reader.text(pdf)


def test_a_force_is_told_in_grams_and_millinewtons(sheet: Sheet) -> None:
    """2.9 g is 28.44 mN, 2.0 g is 19.61 mN (standard gravity 9.80665 m/s²)."""
    told = rows(sheet("service", "full_job"))
    assert re.search(r"Tracking force .*2\.900? ± 0\.0\d+ g .*2\.000? ± 0\.0\d+ g changed", told)
    assert re.search(r"\(28\.44 ± 0\.\d+ mN\) .*\(19\.61 ± 0\.\d+ mN\)", told)


def test_a_bare_job_has_no_empty_sections(sheet: Sheet) -> None:
    pdf = sheet("service", "bare_job")
    told = pdf_reader.text(pdf)
    assert pdf_reader.pages(pdf) == 1
    assert "not handed over yet" in told
    for heading in ("What was found", "What was done", "Charts", "Method and conditions", "Read by hand", "Limits"):
        assert heading not in told


def test_a_deck_without_cartridge_says_so(sheet: Sheet) -> None:
    told = pdf_reader.text(sheet("service", "job_without_cartridge"))
    assert "could not be read on arrival: no cartridge" in told
    assert "Not fit to play: the tip is missing, worn or not yet seen." in told


def test_markup_and_odd_letters_are_printed_not_obeyed(sheet: Sheet) -> None:
    told = pdf_reader.text(sheet("service", "huge_job"))
    assert " ".join(sheet_jobs.MARKUP.split()) in told
    assert sheet_jobs.HEBREW in told or sheet_jobs.HEBREW[::-1] in told
    assert "□" in told
    assert "□ stands for a character that the fonts of this sheet do not have." in told


def test_the_head_of_a_long_table_comes_again_on_the_next_page(sheet: Sheet) -> None:
    pdf = sheet("service", "huge_job")
    last = pdf_reader.pages(pdf)
    per_page = [rows_of_page(pdf, page) for page in range(1, last + 1)]
    with_figures = [page for page in per_page if re.search(r"^Quantity .*\d dB|, dB .* ± ", page, re.MULTILINE)]
    assert len(with_figures) >= 2
    for page in with_figures:
        assert re.search(r"^Quantity Before After Limit Outcome$", page, re.MULTILINE)
    for page in per_page:  # and never stands alone at the foot of one
        body = page.splitlines()
        heads = [place for place, line in enumerate(body) if line.startswith("Quantity Before After Limit Outcome")]
        assert all(any(" ± " in line for line in body[place:]) for place in heads)


def rows_of_page(pdf: bytes, page: int) -> str:
    told = pdf_reader.run("pdftotext", pdf, "-layout", "-f", str(page), "-l", str(page))
    return "\n".join(" ".join(line.split()) for line in told.splitlines())


def test_a_withdrawn_reading_is_not_on_the_sheet(bench: Shop) -> None:
    from spindlewright.sheets.service_sheet import service_sheet

    number = sheet_jobs.bare_job(bench)
    sheet_jobs.gates(bench, number)
    typed_reading(bench, number, "before", "overhang", "15,5", "callipers")
    typed_reading(bench, number, "before", "arm_height", "77,7", "callipers")
    slip = next(view for view in job_card(bench, number).readings if view.reading.quantity == "arm_height")
    withdraw_reading(bench, slip.id, "read the wrong scale")
    told = pdf_reader.text(service_sheet(job_card(bench, number), sheet_jobs.SETTINGS))
    assert "15.50 ±" in told
    assert "77.7" not in told


@pytest.mark.parametrize(
    ("value", "half", "bound", "verdict"),
    [
        (0.1, 0.05, None, "within"),
        (0.19, 0.02, None, "undecided"),
        (0.3, 0.05, None, "outside"),
        (0.15, 0.0, "upper", "within"),
        (0.3, 0.0, "upper", "undecided"),
        (0.3, 0.0, "lower", "undecided"),
    ],
)
def test_verdicts_are_guard_banded(value: float, half: float, bound: str | None, verdict: str) -> None:
    """JCGM 106:2012 8.3: within or outside only with the whole interval; a bound never proves a limit passed."""
    state = Pooled("wow", value, "%", half, 1, (), (), bound=bound)
    assert verdict_of(state, Limit(None, 0.2, "made up")) == verdict
