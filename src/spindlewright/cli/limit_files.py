"""Acceptance limits from ``--limits``: a shipped set by name, or the user's own TOML file."""

from __future__ import annotations

from pathlib import Path

from spindlewright.cli.text_files import read_text
from spindlewright.standards.limits import LimitsError, LimitSet, find_limits, limits_from_toml


def find_limit_set(text: str) -> LimitSet:
    """The set called ``text``, or the one in the TOML file of that name."""
    path = Path(text)
    if path.suffix.casefold() != ".toml" and len(path.parts) == 1 and not path.is_file():
        return find_limits(text)
    try:
        return limits_from_toml(read_text(path, "acceptance limits"), path.stem)
    except LimitsError as problem:
        raise LimitsError(f"{text}: {problem}") from None
