# ruff: noqa: RUF009  (knob() declares a dataclass field)
"""What can be set on arm, cartridge and phono stage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from spindlewright.simulate.knob import Checked, knob


@dataclass(frozen=True, slots=True)
class Arm(Checked):
    """Arm geometry and its resonance with the stylus compliance."""

    tracking: Literal["pivoted", "tangential"] = knob("pivoted", "swings about a pivot, or moves along a radius")
    effective_length_mm: float = knob(230.0, "pivot to stylus", unit="mm", low=100, high=500)
    pivot_to_spindle_mm: float = knob(211.95, "pivot to spindle", unit="mm", low=80, high=490)
    pivot_height_mm: float = knob(0.0, "vertical pivot above the disc plane (warp wow)", unit="mm", low=-50, high=100)
    lateral_resonance_hz: float | None = knob(
        None, "undamped resonance, sideways; none: the headshell stands still", unit="Hz", low=2, high=40
    )
    lateral_q: float = knob(2.0, "quality factor of it", low=0.3, high=20)
    vertical_resonance_hz: float | None = knob(
        None, "undamped resonance, up and down; none: the headshell stands still", unit="Hz", low=2, high=40
    )
    vertical_q: float = knob(2.0, "quality factor of it", low=0.3, high=20)


@dataclass(frozen=True, slots=True)
class Electrical(Checked):
    """Coil and load of a magnetic cartridge (published-values 10)."""

    coil_resistance_ohm: float = knob(1000.0, "resistance of one coil", unit="Ω", low=0, high=10000)
    coil_inductance_mh: float = knob(500.0, "inductance of one coil", unit="mH", above=0, high=5000)
    load_resistance_kohm: float = knob(47.0, "load resistance", unit="kΩ", above=0, high=1000)
    load_capacitance_pf: float = knob(250.0, "leads and input capacitance", unit="pF", low=1, high=10000)


@dataclass(frozen=True, slots=True)
class Cartridge(Checked):
    """How two groove walls become two channels."""

    azimuth_deg: float = knob(
        0.0,
        "roll of the headshell, positive clockwise seen from its front: L' = c·l + s·r, R' = −s·l + c·r",
        unit="°",
        low=-45,
        high=45,
    )
    crosstalk_db: float | None = knob(
        None, "symmetric in-phase leak between the coils, before the gain difference", unit="dB", low=-120, high=0
    )
    crosstalk_inverted: bool = knob(False, "that leak has opposite sign")
    crosstalk_quadrature_db: float | None = knob(
        None, "symmetric inductive leak at 1 kHz, 90° ahead, rising 6 dB per octave", unit="dB", low=-120, high=-10
    )
    balance_db: float = knob(0.0, "gain of left minus right (half up, half down)", unit="dB", low=-40, high=40)
    electrical: Electrical | None = knob(None, "coil and load; none: flat")
    mistracking_left_db: float | None = knob(
        None, "groove velocity re 5 cm/s peak per wall where the left channel gives way", unit="dB", low=-20, high=40
    )
    mistracking_right_db: float | None = knob(None, "the same, right", unit="dB", low=-20, high=40)
    inverted: Literal["none", "left", "right"] = knob("none", "channel wired with reversed polarity")
    swapped: bool = knob(False, "left and right leads exchanged")


@dataclass(frozen=True, slots=True)
class Phono(Checked):
    """What stands between cartridge and recorder."""

    chain: Literal["riaa", "flat"] = knob("riaa", "replay equalisation in circuit or not")
    level_dbfs: float = knob(
        -20.0, "level of 5 cm/s peak per wall at 1 kHz in the file", unit="dBFS", low=-120, high=40
    )
    subsonic_hz: float | None = knob(
        None, "first-order high-pass on replay (the 7950 µs amendment: 20.02)", unit="Hz", low=0.1, high=100
    )
