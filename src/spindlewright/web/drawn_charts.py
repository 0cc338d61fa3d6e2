"""Charts for a page, drawn one after the other while the page is sent, and kept so that the next look is quick."""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass

from spindlewright.charts.chart import Chart

KEPT_PAGES = 24
"""Drawings of one page are about 0.5 MB."""


@dataclass(frozen=True, slots=True)
class NotDrawn:
    """A chart that failed; the readings stand all the same."""

    title: str


Makers = Sequence[tuple[str, Callable[[], Chart | None]]]
Shown = Chart | NotDrawn


class DrawnCharts:
    """The drawings of the pages looked at last. A key names what they were drawn from, which never changes."""

    def __init__(self, kept_pages: int = KEPT_PAGES) -> None:
        self._kept: OrderedDict[Hashable, tuple[Chart, ...]] = OrderedDict()
        self._most = kept_pages
        self._lock = threading.Lock()

    def of(self, key: Hashable, makers: Callable[[], Makers]) -> Iterator[Shown]:
        """Each chart as soon as it is drawn; from what was kept, when it was."""
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None:
                self._kept.move_to_end(key)
        if kept is not None:
            yield from kept
            return
        drawn: list[Shown] = []
        for title, make in makers():
            try:
                chart: Shown | None = make()
            except Exception:
                logging.getLogger(__name__).exception("The chart “%s” could not be drawn", title)
                chart = NotDrawn(title)
            if chart is not None:
                drawn.append(chart)
                yield chart
        whole = tuple(chart for chart in drawn if isinstance(chart, Chart))
        if len(whole) == len(drawn):
            with self._lock:
                self._kept[key] = whole
                while len(self._kept) > self._most:
                    self._kept.popitem(last=False)


CHARTS = DrawnCharts()
