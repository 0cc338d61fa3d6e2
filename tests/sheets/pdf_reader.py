"""What a PDF holds, as the programs of poppler see it."""

from __future__ import annotations

import re
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

from system_packages import program

MM = 72.0 / 25.4
POPPLER_SLIPS = (
    r"Syntax Error: Suspects object is wrong type \(boolean\)",
    r"Syntax Warning: Attribute BorderColor value is of wrong type \(array\)",
)
"""Said of /Suspects false and of /BorderColor for each edge, both as ISO 32000-1 defines them (14.7.1 and 14.8.5.4,
from memory)."""


def run(name: str, pdf: bytes, *options: str, out: str = "-") -> str:
    """Standard output of a program of poppler for this PDF."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.pdf"
        path.write_bytes(pdf)
        command = [program(name), *options, str(path), *([out] if name == "pdftotext" else [])]
        done = subprocess.run(command, capture_output=True, timeout=60, check=True)
        told = re.sub("|".join(POPPLER_SLIPS), "", done.stderr.decode()).strip()
        assert not told, told
        return done.stdout.decode("utf-8")


def text(pdf: bytes, page: int | None = None) -> str:
    """All words in reading order, with single spaces."""
    only = () if page is None else ("-f", str(page), "-l", str(page))
    return " ".join(run("pdftotext", pdf, *only).replace("\u200b", "").split())


def info(pdf: bytes) -> dict[str, str]:
    """Title, pages, tagged … by name."""
    pairs = (line.partition(":") for line in run("pdfinfo", pdf).splitlines())
    return {name.strip(): value.strip() for name, _, value in pairs}


def pages(pdf: bytes) -> int:
    return int(info(pdf)["Pages"])


@dataclass(frozen=True, slots=True)
class Word:
    page: int
    words: str
    left: float
    top: float
    right: float
    bottom: float


def boxes(pdf: bytes) -> tuple[float, float, list[Word]]:
    """Width and height of the pages in points, and every word with its place."""
    page, found, size = 0, [], (0.0, 0.0)
    for line in run("pdftotext", pdf, "-bbox").splitlines():
        if match := re.search(r'<page width="([\d.]+)" height="([\d.]+)"', line):
            page, size = page + 1, (float(match[1]), float(match[2]))
        elif match := re.search(r'<word xMin="(\S+)" yMin="(\S+)" xMax="(\S+)" yMax="(\S+)">(.*)</word>', line):
            left, top, right, bottom = (float(match[n]) for n in range(1, 5))
            found.append(Word(page, match[5], left, top, right, bottom))
    return *size, found
