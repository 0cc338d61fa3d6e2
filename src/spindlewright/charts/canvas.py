"""The house's plotting surface: one picture with one plot, drawn by the plotting library, given back as plain SVG.

The library is imported only when something is drawn (half a second). Its settings belong to the whole process, so one
picture is drawn at a time.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from spindlewright.charts.chart import Wanted
from spindlewright.charts.ink_and_paper import HAIR, INK, QUIET, RULE, SMALL_TEXT, TEXT
from spindlewright.charts.plain_svg import plain_svg

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDE = 720.0
NARROW = 340.0
_ONE_AT_A_TIME = threading.Lock()
_SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "spindlewright",
    "font.family": ["DejaVu Serif"],
    "path.simplify": False,
    "axes.unicode_minus": True,
    "text.parse_math": False,
}


class Surface:
    """Where a chart is drawn: ``axes`` in a picture of ``width`` by ``height`` units; ``plot`` is its box."""

    def __init__(
        self, figure: Figure, axes: Axes, width: float, height: float, plot: tuple[float, float, float, float]
    ) -> None:
        self.figure = figure
        self.axes = axes
        self.width = width
        self.height = height
        self.plot = plot

    @property
    def narrow(self) -> bool:
        """True for the drawing that a telephone shows."""
        return self.width < WIDE

    def at(self, x: float, y: float, words: str, **how: object) -> None:
        """Words at a place given in the picture's units from its upper left corner."""
        settings: dict[str, object] = {"fontsize": SMALL_TEXT, "color": QUIET, "va": "baseline", **how}
        self.figure.text(x / self.width, 1.0 - y / self.height, words, **settings)  # type: ignore[arg-type]


Draw = Callable[[Surface], None]


def drawn(
    name: str,
    title: str,
    sentence: str,
    wanted: Wanted,
    draw: Draw,
    height: float | tuple[float, float],
    margins: tuple[float, float, float, float] = (58.0, 18.0, 26.0, 44.0),
    narrow_margins: tuple[float, float, float, float] | None = None,
    one_width: float | None = None,
) -> tuple[str, str]:
    """The wide and, when wanted, the narrow drawing; margins left, right, top, bottom.

    ``height`` is for both, or one each. With ``one_width`` there is a single drawing, which fits everywhere, and no
    narrow one.
    """
    if one_width is not None:
        tall = height[0] if isinstance(height, tuple) else height
        return _picture(f"{wanted.prefix}{name}", title, sentence, draw, one_width, tall, margins), ""
    wide_height, narrow_height = height if isinstance(height, tuple) else (height, height)
    narrow = narrow_margins or (margins[0] - 6.0, 10.0, margins[2], margins[3])
    sizes = [("wide", WIDE, wide_height, margins), ("narrow", NARROW, narrow_height, narrow)]
    pictures = [
        _picture(f"{wanted.prefix}{name}-{kind}", title, sentence, draw, width, tall, around)
        for kind, width, tall, around in sizes[: 2 if wanted.narrow else 1]
    ]
    return pictures[0], pictures[1] if wanted.narrow else ""


def _picture(
    name: str,
    title: str,
    sentence: str,
    draw: Draw,
    width: float,
    height: float,
    margins: tuple[float, float, float, float],
) -> str:
    left, right, top, bottom = margins
    with _settings():
        from matplotlib.backends.backend_svg import FigureCanvasSVG
        from matplotlib.figure import Figure

        figure = Figure(figsize=(width / 72.0, height / 72.0))
        FigureCanvasSVG(figure)
        figure.patch.set_visible(False)
        box = (left / width, bottom / height, (width - left - right) / width, (height - top - bottom) / height)
        axes = figure.add_axes(box)
        _house_style(axes)
        surface = Surface(figure, axes, width, height, (left, top, width - left - right, height - top - bottom))
        draw(surface)
        written = io.StringIO()
        figure.savefig(written, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    return plain_svg(written.getvalue(), name, title, sentence, surface.plot)


@contextmanager
def _settings() -> Iterator[None]:
    with _ONE_AT_A_TIME:
        import matplotlib as mpl

        with mpl.rc_context(_SETTINGS):
            yield


def _house_style(axes: Axes) -> None:
    axes.set_facecolor("none")
    for side, spine in axes.spines.items():
        spine.set_visible(side == "bottom")
        spine.set_color(INK)
        spine.set_linewidth(HAIR)
    axes.tick_params(length=4, width=HAIR, color=INK, labelsize=SMALL_TEXT, labelcolor=QUIET, pad=4)
    axes.tick_params(axis="y", length=0, pad=6)
    axes.tick_params(which="minor", length=2, width=HAIR, color=INK)
    axes.grid(visible=True, axis="y", color=RULE, linewidth=HAIR)
    axes.set_axisbelow(True)
    axes.xaxis.label.set_fontsize(TEXT)
    axes.xaxis.label.set_color(QUIET)


def name_the_axes(surface: Surface, along: str, up: str) -> None:
    """Words under the horizontal axis, and over the upper end of the vertical one, where they can be read upright."""
    surface.axes.set_xlabel(along, labelpad=6, fontsize=SMALL_TEXT, color=QUIET, loc="right")
    surface.at(8.0, 14.0, up)
