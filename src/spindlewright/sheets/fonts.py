"""The fonts of the sheets: a serif built into the typesetter, and a broad sans that comes with the plotting library
for letters the first one lacks (Arabic, Hebrew and others). Fonts of the computer itself are never used, so that a
sheet is the same everywhere."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

FALLBACK_FILES = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")


@cache
def font_folder() -> Path:
    """Where the fallback font lies, without loading the plotting library."""
    spec = find_spec("matplotlib")
    if spec is None or spec.origin is None:  # it is among the dependencies
        raise FileNotFoundError("sheets: found no matplotlib, whose fonts the sheets use; install Spindlewright again")
    return Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"


@cache
def characters_there_are() -> frozenset[int]:
    """Code points that the fallback font can draw, in the weights that the templates use (none is slanted)."""
    from matplotlib.ft2font import FT2Font

    maps = [frozenset(FT2Font(str(font_folder() / name)).get_charmap()) for name in FALLBACK_FILES]
    return frozenset.intersection(*maps)
