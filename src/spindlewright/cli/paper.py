"""The look of printed answers: paper and ink, thin rules, one accent colour, at most 80 columns.

Text is never read as markup, so a file name or a message may hold any sign.
"""

from __future__ import annotations

import re
import textwrap
from typing import IO

from rich.console import Console
from rich.text import Text

WIDTH = 80
ACCENT = "bold dark_orange3"
QUIET = "dim"
INDENT = "  "


class Paper:
    """One sheet on standard output (or ``file``), written from top to bottom."""

    def __init__(self, file: IO[str] | None = None) -> None:
        self._console = Console(file=file, highlight=False, markup=False, emoji=False, soft_wrap=True)
        self.width = max(60, min(self._console.width, WIDTH))

    def line(self, text: str | Text = "") -> None:
        """One line as it is, without space at its end."""
        written = Text(text) if isinstance(text, str) else text
        written.rstrip()
        self._console.print(written)

    def rule(self) -> None:
        """A thin rule over the whole width."""
        self.line(Text("─" * self.width, style=QUIET))

    def heading(self, title: str) -> None:
        """A heading in the accent colour with a thin rule behind it, set off by an empty line."""
        rest = "─" * max(0, self.width - len(title) - 1)
        self.line()
        self.line(Text.assemble((title, ACCENT), " ", (rest, QUIET)))

    def paragraph(self, text: str, style: str = "", indent: str = INDENT, first: str | None = None) -> None:
        """Text wrapped to the width, not at no-break spaces; ``first`` replaces the indent of the first line."""
        lead = indent if first is None else first
        for wrapped in textwrap.wrap(
            re.sub(r"[ \t\r\n]+", " ", text).strip(),
            self.width,
            initial_indent=lead,
            subsequent_indent=indent,
            break_on_hyphens=False,
        ):
            self.line(Text(wrapped.replace("\N{NO-BREAK SPACE}", " "), style=style))
