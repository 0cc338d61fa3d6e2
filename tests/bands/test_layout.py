"""Layouts: read, written, refused with one clear line."""

from __future__ import annotations

from importlib import resources
from importlib.resources.abc import Traversable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spindlewright.bands.band import LayoutBand
from spindlewright.bands.layout import Layout, LayoutError, layout_from_toml, layout_to_toml

SHIPPED = sorted(
    (f for f in resources.files("spindlewright.bands").joinpath("layouts").iterdir() if f.name.endswith(".toml")),
    key=lambda f: f.name,
)

GOOD = """
title = "Mine"
rpm = 45
speed_uncertainty_percent = 0.05
[[band]]
name = "Speed"
kind = "tone"
nominal_hz = 3150
duration_s = 30
velocity_cm_s = 5.6
velocity = "rms"
direction = "lateral"
radius_mm = 140.5
[[band]]
kind = "sweep"
nominal_hz = 20
to_hz = 20000
equalisation = "constant_amplitude_below"
turnover_hz = 500
reference = false
"""


def test_a_layout_is_read_as_it_is_written() -> None:
    layout = layout_from_toml(GOOD, "mine")
    assert (layout.name, layout.title, layout.rpm, layout.speed_uncertainty_percent) == ("mine", "Mine", 45.0, 0.05)
    first, second = layout.bands
    assert first == LayoutBand("Speed", "tone", 3150.0, None, 30.0, 5.6, "rms", "lateral", "riaa", None, False, 140.5)
    assert (second.name, second.nominal_hz) == ("band 2", 20.0)
    assert (second.to_hz, second.equalisation, second.turnover_hz) == (20000.0, "constant_amplitude_below", 500.0)


@pytest.mark.parametrize(
    ("typed", "rpm"), [("33", 100 / 3), ("33.33", 100 / 3), ("78", 3600 / 46), ("77.922", 77.922)]
)
def test_usual_speeds_are_exact(typed: str, rpm: float) -> None:
    assert layout_from_toml(f'rpm = {typed}\n[[band]]\nkind = "silence"', "x").rpm == rpm


BAD = [
    ("rpm = 33\n", ["no [[band]]"]),
    ("rpm = \n", ["not readable as TOML"]),
    ('[[band]]\nname = "a"\n', ["band 1", "no kind", "silence"]),
    ('[[band]]\nkind = "tune"\n', ["band 1", "kind is 'tune'", "run_out"]),
    ('[[band]]\nkind = "tone"\n', ["band 1", "needs nominal_hz"]),
    ('[[band]]\nkind = "sweep"\nnominal_hz = 20\n', ["needs to_hz"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = 20\nto_hz = 30\n', ["to_hz belongs to a sweep"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = "1k"\n', ["nominal_hz is '1k'", "a number from 1 to 60000"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = -5\n', ["nominal_hz is -5"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = nan\n', ["nominal_hz is nan"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = true\n', ["nominal_hz is True"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = 1000\nfrequency = 3\n', ["unknown key 'frequency'", "nominal_hz"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = 1000\nreference = 1\n', ["reference is 1", "true or false"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = 1000\nname = 5\n', ["name is 5", "text"]),
    ('[[band]]\nkind = "tone"\nnominal_hz = 1000\nvelocity = "mean"\n', ["velocity is 'mean'", "peak, rms"]),
    ('rpm = 500\n[[band]]\nkind = "silence"\n', ["rpm is 500"]),
    ('speed = 33\n[[band]]\nkind = "silence"\n', ["unknown key 'speed'"]),
    ("band = 5\n", ["no [[band]]"]),
    ('[[band]]\nkind = ["tone"]\n', ["kind is ['tone']"]),
]


@pytest.mark.parametrize(("toml", "words"), BAD)
def test_what_cannot_be_used_is_refused_in_one_line(toml: str, words: list[str]) -> None:
    with pytest.raises(LayoutError) as caught:
        layout_from_toml(toml, "my disc")
    message = str(caught.value)
    assert "\n" not in message
    assert message.startswith("layout my disc")
    for word in words:
        assert word in message


numbers = st.floats(1.0, 60000.0)
bands = st.builds(
    LayoutBand,
    name=st.text(max_size=30),
    kind=st.sampled_from(["tone", "left", "right", "vertical"]),
    nominal_hz=numbers,
    duration_s=st.none() | st.floats(0.1, 7200.0),
    velocity_cm_s=st.none() | st.floats(0.001, 200.0),
    velocity=st.sampled_from(["peak", "rms"]),
    direction=st.none() | st.sampled_from(["lateral", "vertical", "wall"]),
    reference=st.booleans(),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(bands, min_size=1, max_size=4), st.floats(10.5, 32.0), st.text(max_size=40))
def test_whatever_goes_in_comes_out(entries: list[LayoutBand], rpm: float, title: str) -> None:
    layout = Layout("x", tuple(entries), rpm, 0.1, 0.25, title)
    assert layout_from_toml(layout_to_toml(layout), "x") == layout


@pytest.mark.parametrize("file", SHIPPED, ids=lambda f: f.name)
def test_shipped_layouts_are_read_and_written(file: Traversable) -> None:
    layout = layout_from_toml(file.read_text(encoding="utf-8"), "shipped")
    assert layout.title
    assert layout.bands
    assert layout_from_toml(layout_to_toml(layout), "shipped") == layout


def test_three_layouts_are_shipped() -> None:
    assert len(SHIPPED) == 3
