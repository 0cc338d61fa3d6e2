"""The drawing as a page and a sheet need it: no style, unique ids, text as text, the same bytes, honest colours."""

from __future__ import annotations

import re
import subprocess
import sys
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawings import parsed, words
from spindlewright.charts import ink_and_paper as ink
from spindlewright.charts.before_against_after import Row, before_against_after
from spindlewright.charts.chart import Chart, Wanted
from spindlewright.charts.of_a_recording import charts_of_a_recording
from spindlewright.charts.thinning import in_stretches, thinned

ROWS = [Row("Wow", "%", 0.3, 0.01, 0.1, 0.01, "better", high=0.2, zero_is_best=True)]


@pytest.fixture(scope="module")
def charts(measurement: dict[str, Any]) -> tuple[Chart, ...]:
    compared = before_against_after(ROWS)
    assert compared is not None
    return (*charts_of_a_recording(measurement, {"idler": (2.5, 5.0)}), compared)


def drawings(charts: tuple[Chart, ...]) -> list[str]:
    return [svg for chart in charts for svg in (chart.svg, chart.narrow_svg) if svg]


def test_all_seven_are_there(charts: tuple[Chart, ...]) -> None:
    assert [chart.name for chart in charts] == [
        "deviation_over_time",
        "deviation_spectrum",
        "turn_by_turn",
        "turns_map",
        "hum_lines",
        "azimuth_from_the_front",
        "before_against_after",
    ]


def test_a_strict_policy_lets_it_through(charts: tuple[Chart, ...]) -> None:
    """No style attribute or element, no script, no image, nothing from outside."""
    for svg in drawings(charts):
        root = parsed(svg)
        assert not [e for e in root.iter() if "style" in e.attrib or e.tag in {"style", "script", "image", "metadata"}]
        assert not re.search(r"(href|src)=\"(?!#)", svg)
        assert "xmlns:" not in svg


def test_ids_are_unique_on_a_page_and_every_reference_is_met(charts: tuple[Chart, ...]) -> None:
    page = "".join(drawings(charts))
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for svg in drawings(charts):
        own = set(re.findall(r' id="([^"]+)"', svg))
        asked = set(re.findall(r'href="#([^"]+)"', svg)) | set(re.findall(r"url\(#([^)]+)\)", svg))
        asked |= {name for pair in re.findall(r'aria-\w+="([^"]+)"', svg) for name in pair.split()}
        assert asked <= own


def test_two_of_a_kind_are_told_apart_by_their_prefix(measurement: dict[str, Any]) -> None:
    ids = [
        set(re.findall(r' id="([^"]+)"', "".join(c.svg for c in charts_of_a_recording(measurement, wanted=wanted))))
        for wanted in (Wanted("before-", narrow=False), Wanted("after-", narrow=False))
    ]
    assert ids[0]
    assert not ids[0] & ids[1]


def test_it_names_and_describes_itself(charts: tuple[Chart, ...]) -> None:
    for chart in charts:
        root = parsed(chart.svg)
        assert root.attrib["role"] == "img"
        assert root.findtext("title") == chart.title
        assert root.findtext("desc") == chart.sentence


def test_text_stays_text_of_a_legible_size(charts: tuple[Chart, ...]) -> None:
    for svg in drawings(charts):
        root = parsed(svg)
        assert words(root)
        sizes = [float(e.attrib["font-size"]) for e in root.iter("text")]
        assert min(sizes) >= 13.0


def test_every_colour_has_a_class(charts: tuple[Chart, ...]) -> None:
    """So that no line stays dark on a dark page. Shapes that are only used elsewhere take their colour there."""
    for svg in drawings(charts):
        for element in parsed(svg).iter():
            for attribute, kind in (("stroke", "line"), ("fill", "fill")):
                colour = element.attrib.get(attribute, "none")
                if colour != "none":
                    assert f"-{kind}" in element.attrib.get("class", ""), (element.tag, element.attrib)


def test_narrow_drawings_fit_a_telephone(charts: tuple[Chart, ...]) -> None:
    for chart in charts:
        assert float(parsed(chart.narrow_svg or chart.svg).attrib["width"]) <= 340.0


def test_the_same_bytes_in_another_process() -> None:
    code = (
        "from spindlewright.charts.before_against_after import Row, before_against_after as b;"
        "import hashlib;"
        "c = b([Row('Wow', '%', 0.3, 0.01, 0.1, 0.01, 'better', high=0.2, zero_is_best=True)]);"
        "print(hashlib.sha256((c.svg + c.narrow_svg).encode()).hexdigest())"
    )
    runs = {
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
        for _ in range(2)
    }
    assert len(runs) == 1
    assert len(runs.pop().strip()) == 64


def test_the_plotting_library_is_loaded_only_to_draw() -> None:
    code = "import sys, spindlewright.charts.of_a_recording; print('matplotlib' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"


# colours: WCAG 2.2, relative luminance and contrast ratio (from memory)


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_what_the_standard_asks() -> None:
    """4.5 for text (success criterion 1.4.3); the docstring's figures to 0.1."""
    for colour, stated in ((ink.INK, 14.7), (ink.ACCENT, 6.2), (ink.QUIET, 5.9)):
        assert contrast(colour, ink.PAPER) == pytest.approx(stated, abs=0.05)
    for colour, stated in ((ink.DARK_INK, 14.2), (ink.DARK_ACCENT, 9.2), (ink.DARK_QUIET, 7.7)):
        assert contrast(colour, ink.DARK_PAPER) == pytest.approx(stated, abs=0.05)


def test_the_steps_of_the_map_can_be_told_in_grey() -> None:
    for steps in (ink.FAST_STEPS, ink.SLOW_STEPS):
        greys = [luminance(colour) for colour in (ink.PAPER, *steps)]
        assert all(a > 1.2 * b for a, b in pairwise(greys))


# thinning


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=400), st.integers(1, 60))
def test_thinning_keeps_the_extremes_and_adds_nothing(values: list[float], stretches: int) -> None:
    y = np.array(values)
    x = np.arange(len(y), dtype=float)
    thin_x, thin_y = thinned(x, y, stretches)
    assert len(thin_x) <= max(len(y) if len(y) <= 2 * stretches else 0, 2 * stretches + 2)
    assert thin_y.min() == y.min()
    assert thin_y.max() == y.max()
    assert np.all(np.diff(thin_x) > 0)
    assert np.array_equal(y[thin_x.astype(int)], thin_y)
    assert (thin_x[0], thin_x[-1]) == (0.0, len(y) - 1.0)


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=300), st.integers(1, 50))
def test_stretches_bound_all_points(values: list[float], rows: int) -> None:
    y = np.array(values)
    cut = in_stretches(np.arange(len(y), dtype=float), y, rows)
    assert len(cut.middle) <= rows
    assert cut.lowest.min() == y.min()
    assert cut.highest.max() == y.max()
    assert np.all(cut.mean <= cut.highest + 1e-9)
