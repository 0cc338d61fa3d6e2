"""From content and a template to a PDF: tagged (PDF/UA-1), fonts embedded, the same bytes for the same content."""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any, Literal, get_args

from spindlewright.charts.ink_and_paper import ACCENT, INK, QUIET, RULE
from spindlewright.sheets.fonts import font_folder
from spindlewright.sheets.printable import as_plain_object, holds_replacement, replaced_note

if TYPE_CHECKING:
    import typst

Paper = Literal["a4", "letter"]
HOUSE = "house.typ"
"""What all templates share: paper, title strip, headings, tables."""


class SheetError(ValueError):
    """A sheet that can't be made; the message says why and what to do."""


def typeset(template: str, content: Any, paper: str) -> bytes:
    """The PDF of ``content`` (a frozen dataclass) by the template of that name. Raises SheetError.

    The content reaches the template as JSON, never as markup, so that nothing typed by hand can be taken for a
    command.
    """
    if paper not in get_args(Paper):
        raise SheetError(f"paper: found '{paper}', allowed are {', '.join(get_args(Paper))}")
    plain = as_plain_object(content)
    plain["paper"] = paper
    plain["colours"] = {"ink": INK, "quiet": QUIET, "rule": RULE, "accent": ACCENT}
    plain["replaced"] = replaced_note() if holds_replacement(plain) else ""
    import typst

    source = "\n".join((_template(HOUSE), _template(template)))
    try:
        made = typst.compile(
            source.encode("utf-8"),
            format="pdf",
            font_paths=_fonts(),
            ignore_system_fonts=True,
            sys_inputs={"content": json.dumps(plain, ensure_ascii=True, sort_keys=True)},
            pdf_standards="ua-1",
        )
    except typst.TypstError as trouble:
        raise SheetError(f"sheet: it could not be typeset ({trouble}); the job itself is unharmed") from None
    assert isinstance(made, bytes)
    return made


@cache
def _fonts() -> typst.Fonts:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(font_folder())])


@cache
def _template(name: str) -> str:
    return (resources.files("spindlewright.sheets") / "templates" / name).read_text(encoding="utf-8")
