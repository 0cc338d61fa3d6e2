"""What is true of every sheet: size, tags, fonts, page numbers, nothing off the page, the same bytes.

Witnesses: poppler's programs, which know nothing of ours. A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 inch.
"""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pdf_reader
import pytest
import sheet_jobs
from pdf_reader import MM

from spindlewright.sheets.service_sheet import service_sheet
from spindlewright.sheets.typesetting import SheetError
from spindlewright.shop.views.card import JobCard
from system_packages import needs

Sheet = Callable[..., bytes]
KINDS = ("bare_job", "full_job", "huge_job", "job_without_cartridge")
ALL = [(which, kind) for which in ("service", "owner", "card") for kind in KINDS]
SIZES = {"a4": (210.0 * MM, 297.0 * MM), "letter": (8.5 * 72.0, 11.0 * 72.0)}
FRAME_MM = 8.0

pytestmark = needs("poppler-utils")


@pytest.mark.parametrize(("which", "kind"), ALL)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_no_word_is_off_the_page_and_all_lie_within_the_frame(sheet: Sheet, which: str, kind: str, paper: str) -> None:
    width, height, words = pdf_reader.boxes(sheet(which, kind, paper))
    assert (width, height) == pytest.approx(SIZES[paper], abs=0.5)
    assert words
    for word in words:
        assert word.left >= FRAME_MM * MM, word
        assert word.right <= width - FRAME_MM * MM, word
        assert word.top >= FRAME_MM * MM, word
        assert word.bottom <= height - FRAME_MM * MM, word


@pytest.mark.parametrize(("which", "kind"), ALL)
def test_nothing_runs_into_the_title_strip(sheet: Sheet, which: str, kind: str) -> None:
    """The strip is 11 mm high above the frame's lower edge: below its rule only its own words stand."""
    _, height, words = pdf_reader.boxes(sheet(which, kind))
    rule = height - (FRAME_MM + 11.0) * MM
    assert not [word for word in words if word.top < rule - 0.5 < word.bottom - 2.0]


@pytest.mark.parametrize(("which", "kind"), ALL)
def test_each_page_is_numbered_with_the_job_number(
    sheet: Sheet, card_of: Callable[[str], JobCard], which: str, kind: str
) -> None:
    pdf = sheet(which, kind)
    number, last = card_of(kind).job.number, pdf_reader.pages(pdf)
    for page in range(1, last + 1):
        assert f"job {number}, page {page} of {last}" in pdf_reader.text(pdf, page)


@pytest.mark.parametrize(("which", "kind"), ALL)
def test_the_sheet_is_tagged_titled_and_has_a_language(sheet: Sheet, which: str, kind: str) -> None:
    pdf = sheet(which, kind)
    known = pdf_reader.info(pdf)
    assert known["Tagged"] == "yes"
    assert known["Title"]
    assert "PDF/UA-1" in known.get("PDF subtype", "") or b"pdfuaid:part" in pdf
    assert b"/Lang" in pdf or "Lang" in pdf_reader.run("pdfinfo", pdf, "-struct")


@pytest.mark.parametrize(("which", "kind"), ALL)
def test_every_font_is_embedded(sheet: Sheet, which: str, kind: str) -> None:
    rows = pdf_reader.run("pdffonts", sheet(which, kind)).splitlines()[2:]
    assert rows
    for row in rows:
        embedded, subset, unicode_map = re.search(r"\s(yes|no)\s+(yes|no)\s+(yes|no)\s", row).groups()  # type: ignore[union-attr]
        assert (embedded, subset, unicode_map) == ("yes", "yes", "yes"), row


def test_charts_have_words_for_those_who_do_not_see_them(sheet: Sheet) -> None:
    structure = pdf_reader.run("pdfinfo", sheet("service", "full_job"), "-struct")
    assert structure.count("Figure") >= 2
    assert "Before against after" in structure
    assert structure.count("Table") >= 3
    assert "TH" in structure


@pytest.mark.parametrize("which", ["service", "owner", "card"])
def test_the_same_job_gives_the_same_bytes_in_another_process(
    sheet: Sheet, card_of: Callable[[str], JobCard], bench_folder: Path, tmp_path: Path, which: str
) -> None:
    """Another process, hash seed, time zone, folder and language of the computer."""
    names = {"service": "service_sheet", "owner": "owner_page", "card": "printed_job_card"}
    program = (
        "import sys, hashlib; from pathlib import Path\n"
        "from spindlewright.shop.store import Shop; from spindlewright.shop.job_card import job_card\n"
        "from spindlewright.shop.settings import settings_of\n"
        f"from spindlewright.sheets.{names[which]} import {names[which]} as make\n"
        "with Shop.open(Path(sys.argv[1])) as shop:\n"
        "    card, settings = job_card(shop, sys.argv[2], curves=True), settings_of(shop)\n"
        "print(hashlib.sha256(make(card, settings, 'a4')).hexdigest())\n"
    )
    changed = {"PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo", "LC_ALL": "C", "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(
        [sys.executable, "-c", program, str(bench_folder), card_of("full_job").job.number],
        **{"capture_output": True, "text": True, "cwd": tmp_path, "timeout": 120},
        env={**os.environ, **changed},
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == hashlib.sha256(sheet(which, "full_job")).hexdigest()


def test_another_paper_than_there_is_gets_one_clear_sentence(card_of: Callable[[str], JobCard]) -> None:
    with pytest.raises(SheetError, match="paper: found 'a5', allowed are a4, letter"):
        service_sheet(card_of("bare_job"), sheet_jobs.SETTINGS, "a5")
