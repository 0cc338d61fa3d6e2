"""``spindlewright sheet``: the papers of a job as PDF files, whole or not at all."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from spindlewright.cli import main
from spindlewright.shop.jobs_list import jobs
from spindlewright.shop.store import Shop
from system_packages import needs, program

Printed = pytest.CaptureFixture[str]


@pytest.fixture
def cured(demo_folder: Path) -> str:
    with Shop.open(demo_folder) as shop:
        (row,) = jobs(shop, "LR-3").rows
        return row.number


def text_of(pdf: Path) -> str:
    done = subprocess.run([program("pdftotext"), "-layout", pdf, "-"], capture_output=True, check=True)
    return done.stdout.decode("utf-8")


def pages_of(pdf: Path) -> dict[str, str]:
    done = subprocess.run([program("pdfinfo"), pdf], capture_output=True, text=True, check=True)
    return {name: value.strip() for name, _, value in (line.partition(":") for line in done.stdout.splitlines())}


@pytest.mark.slow
@needs("poppler-utils")
@pytest.mark.parametrize(
    ("options", "words"),
    [([], "Before against after"), (["--owner-page"], "Unit 3"), (["--job-card"], "Unit 3")],
)
def test_each_paper_is_written_with_the_job_s_number_on_it(
    demo_folder: Path, tmp_path: Path, capsys: Printed, cured: str, options: list[str], words: str
) -> None:
    out = tmp_path / "paper.pdf"
    assert main(["sheet", cured, str(out), "--data", str(demo_folder), "--json", *options]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer == {"number": cured, "file": str(out), "size_bytes": out.stat().st_size}
    text = text_of(out)
    assert cured in text
    assert words in text
    assert [path.name for path in tmp_path.iterdir()] == ["paper.pdf"]


@pytest.mark.slow
@needs("poppler-utils")
@pytest.mark.parametrize(("paper", "size"), [("a4", "595.276 x 841.89"), ("letter", "612 x 792")])
def test_the_paper_is_the_one_that_was_asked_for(
    demo_folder: Path, tmp_path: Path, cured: str, paper: str, size: str
) -> None:
    """Witness: ISO 216 (210 mm × 297 mm) and 8.5 in × 11 in, at 72 points an inch."""
    out = tmp_path / "card.pdf"
    assert main(["sheet", cured, str(out), "--data", str(demo_folder), "--job-card", "--paper", paper]) == 0
    assert pages_of(out)["Page size"].startswith(size)


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["2026-9999", "a.pdf"], "2026-9999"),
        (["2026-0001", "a.txt"], ".pdf"),
        (["2026-0001", "gone/a.pdf"], "does not exist"),
        (["2026-0001", "a.pdf", "--owner-page", "--job-card"], "one at a time"),
        (["2026-0001", "a.pdf", "--paper", "a5"], "letter"),
        (["2026-0001"], "OUT"),
    ],
)
def test_wrong_use_is_one_line_and_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Printed, words: list[str], hint: str
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", *words, "--data", "shop"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert hint in line
    assert "itself failed" not in line
    assert not list(tmp_path.glob("*.pdf"))
