"""Which version of the program measured."""

from __future__ import annotations

from functools import cache
from importlib.metadata import PackageNotFoundError, version


@cache
def engine_version() -> str:
    """The version of the installed program; "not installed" when it runs from its source alone."""
    try:
        return version("spindlewright")
    except PackageNotFoundError:
        return "not installed"
