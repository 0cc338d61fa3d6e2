"""A small drawing board of our own, for charts without axes to scale: lines, words and marks straight into SVG.

Places are in the drawing's units from its upper left corner. Colours carry the same classes as those of ``plain_svg``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

from spindlewright.charts.ink_and_paper import FONTS, INK, NAMES, PAPER, QUIET, SMALL_TEXT

Point = tuple[float, float]


class DrawingBoard:
    """Collects what is drawn; ``svg`` gives the whole."""

    def __init__(self, width: float, height: float) -> None:
        self.width = width
        self.height = height
        self._drawn: list[str] = []

    def lines(self, lines: Iterable[Sequence[Point]], colour: str = INK, width: float = 1.0) -> None:
        """Several lines of one colour and width as one path; nothing for none."""
        path = " ".join("M " + " L ".join(f"{_short(x)} {_short(y)}" for x, y in line) for line in lines)
        if path:
            self._drawn.append(
                f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{_short(width)}"'
                f' class="{NAMES[colour]}-line"/>'
            )

    def shape(self, corners: Sequence[Point], fill: str = PAPER, line: str = INK, width: float = 1.0) -> None:
        """A closed shape."""
        path = "M " + " L ".join(f"{_short(x)} {_short(y)}" for x, y in corners) + " Z"
        self._drawn.append(f'<path d="{path}" {self._colours(fill, line, width)}/>')

    def circle(self, centre: Point, radius: float, fill: str = PAPER, line: str = INK, width: float = 1.0) -> None:
        """A round mark."""
        x, y = (_short(value) for value in centre)
        self._drawn.append(f'<circle cx="{x}" cy="{y}" r="{_short(radius)}" {self._colours(fill, line, width)}/>')

    def words(
        self,
        at: Point,
        words: str,
        colour: str = QUIET,
        size: float = SMALL_TEXT,
        anchor: str = "start",
        bold: bool = False,
    ) -> None:
        """Words on their base line; ``anchor`` start, middle or end."""
        weight = ' font-weight="bold"' if bold else ""
        aligned = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self._drawn.append(
            f'<text x="{_short(at[0])}" y="{_short(at[1])}" font-size="{_short(size)}" fill="{colour}"'
            f'{aligned}{weight} class="{NAMES[colour]}-fill">{escape(words)}</text>'
        )

    def svg(self, name: str, title: str, description: str, plot: tuple[float, float, float, float]) -> str:
        """The drawing, with the same frame as ``plain_svg`` gives."""
        width, height = _short(self.width), _short(self.height)
        box = " ".join(_short(value) for value in plot)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}"'
            f' height="{height}" class="chart-drawing" role="img" aria-labelledby="{name}-title"'
            f' aria-describedby="{name}-words" data-plot="{box}" font-family={quoteattr(FONTS)}'
            f' stroke-linejoin="round"><title id="{name}-title">{escape(title)}</title>'
            f'<desc id="{name}-words">{escape(description)}</desc>{"".join(self._drawn)}</svg>'
        )

    def _colours(self, fill: str, line: str, width: float) -> str:
        return (
            f'fill="{fill}" stroke="{line}" stroke-width="{_short(width)}"'
            f' class="{NAMES[line]}-line {NAMES[fill]}-fill"'
        )


def _short(value: float) -> str:
    """At most two decimals.

    >>> _short(12.0), _short(-0.004), _short(3.14159)
    ('12', '0', '3.14')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
