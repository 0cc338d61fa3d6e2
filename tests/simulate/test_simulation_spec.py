"""Specifications from parsed TOML: every wrong thing gets one line that names it."""

from __future__ import annotations

import runpy
import tomllib
from pathlib import Path

import pytest

from spindlewright.simulate import Spec
from spindlewright.simulate.knob import describe
from spindlewright.simulate.spec import Disc, Line

UNITS = {
    "_mm": "mm",
    "_hz": "Hz",
    "_percent": "%",
    "_deg": "°",
    "_db": "dB",
    "_dbfs": "dBFS",
    "_s": "s",
    "_ppm": "ppm",
}

WRONG = [
    ("seeed = 3", "seeed = 3: no such setting; did you mean 'seed'? Allowed here: band, deck"),
    ("[deck]\nspeed_eror_percent = 1.0", "deck.speed_eror_percent = 1.0: no such setting; did you mean 'speed_err"),
    ("[disc]\nrpm = -3", "disc.rpm = -3 rpm: must be above 0 up to 120 rpm"),
    ("[disc]\nrpm = nan", "disc.rpm = nan: must be a finite number"),
    ('[disc]\nrpm = "fast"', "disc.rpm = 'fast': must be a number"),
    ("[recorder]\nbits = 20", "recorder.bits = 20: must be one of 16, 24, 32, float"),
    ("[recorder]\nrate_hz = 44100.5", "recorder.rate_hz = 44100.5: must be a whole number"),
    ("[recorder]\nmono = 1", "recorder.mono = 1: must be true or false"),
    ('[phono]\nchain = "loud"', "phono.chain = 'loud': must be one of riaa, flat"),
    ("deck = 3", "deck = 3: must be a table of settings"),
    ("band = 3", "band = 3: must be a list"),
    ("[[band]]\nseconds = 3", "band[1].kind: must be given"),
    ('[[band]]\nkind = "tone"\nseconds = 3\n[[band]]\nkind = "tone"\nseconds = 0', "band[2].seconds = 0 s: must be"),
    ('[[band]]\nkind = "sweep"\nseconds = 3', "band[1].to_hz: a sweep needs its end frequency"),
    ('[[band]]\nkind = "tone"\nseconds = 3\ndirection = "left"', "band[1].direction = left: only for sweep and noise"),
    ("[[deck.line]]\npeak_percent = 0.1", "deck.line[1].part: give either part or hz"),
    ("[deck.random_flutter]\nrms_percent = 0.1\nlow_hz = 50.0\nhigh_hz = 20.0", "deck.random_flutter.high_hz = 20 Hz"),
    (
        '[[band]]\nkind = "tone"\nseconds = 3\nradius_mm = 21.0\n[arm]\npivot_to_spindle_mm = 200.0',
        "the groove reaches",
    ),
    (
        '[[band]]\nkind = "tone"\nseconds = 3\n[[band]]\nkind = "tone"\nseconds = 3\nradius_mm = 90.0',
        "band[2].gap_s = 0: a band with a radius of its own needs a gap before it",
    ),
]


@pytest.mark.parametrize(("text", "message"), WRONG)
def test_wrong_specifications(text: str, message: str) -> None:
    with pytest.raises(ValueError, match=r".") as error:
        Spec.from_dict(tomllib.loads(text))
    assert message in str(error.value)
    assert "\n" not in str(error.value)


def test_python_gets_the_same_checks() -> None:
    with pytest.raises(ValueError, match=r"disc\.warp_mm = 9 mm: must be from 0 up to 5 mm"):
        Disc(warp_mm=9.0)
    with pytest.raises(ValueError, match="give either part or hz"):
        Line(peak_percent=0.1, hz=3.0, part="belt")


def test_a_specification_from_toml_is_the_one_from_python() -> None:
    text = """
    seed = 5
    [deck]
    speed_error_percent = 1
    [[deck.line]]
    part = "motor"
    peak_percent = 0.05
    [disc]
    rpm = 78
    [[band]]
    kind = "left"
    hz = 1000
    seconds = 10
    """
    spec = Spec.from_dict(tomllib.loads(text))
    assert spec.deck.lines == (Line(part="motor", peak_percent=0.05),)
    assert spec.bands[0].kind == "left"
    assert isinstance(spec.deck.speed_error_percent, float)
    # contract: 33 means 100/3, 78 means 3600/46
    assert spec.disc.rated_rpm == pytest.approx(78.26087, abs=1e-5)
    assert Disc(rpm=33.0).rated_rpm == pytest.approx(100.0 / 3.0)
    assert Disc(rpm=77.922).rated_rpm == 77.922


def test_every_knob_explains_itself() -> None:
    """Each setting has a meaning, and each number a unit, unless it is a count, an order, a Q or a ratio."""
    rows = list(describe(Spec))
    assert sum(not row.table for row in rows) > 110
    assert all(row.meaning for row in rows)
    keys = [row.key for row in rows]
    assert len(set(keys)) == len(keys)
    assert "deck.rumble.line[].level_db" in keys
    for row in rows:
        last = row.key.rsplit(".", 1)[-1]
        for ending, unit in UNITS.items():
            if last.endswith(ending) and not last.endswith("cm_s"):
                assert row.unit == unit, row.key


def test_the_reference_page_is_fresh() -> None:
    """docs/simulated-deck.md is what its script writes."""
    script = runpy.run_path(str(Path(__file__).parents[2] / "docs" / "make_simulated_deck.py"))
    assert script["PAGE"].read_text(encoding="utf-8") == script["page"]()
