# ruff: noqa: RUF009  (knob() declares a dataclass field)
"""What can be set on the drive: speed, the turning parts, flutter, rumble."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from spindlewright.simulate.knob import Checked, check_knobs, knob

Part = Literal["platter", "belt", "pulley", "motor", "idler"]
Direction = Literal["lateral", "vertical", "left", "right"]


def rated_rpm(named: float) -> float:
    """The speed a short name stands for: 33 is 100/3, 78 is 3600/46, anything else is itself (contract)."""
    return {33.0: 100.0 / 3.0, 78.0: 3600.0 / 46.0}.get(named, named)


@dataclass(frozen=True, slots=True)
class Line(Checked):
    """One sinusoidal speed variation: ``peak · cos(angle of the part · order + phase)``."""

    peak_percent: float = knob(
        None, "zero-to-peak deviation, of the deck's mean speed", unit="%", low=0, high=5, required=True
    )
    part: Part | None = knob(None, "part whose rotation makes it; its rate follows the deck's speed")
    order: float = knob(1.0, "periods per turn of that part (2: oval)", above=0, high=1000)
    hz: float | None = knob(None, "fixed rate instead of a part (servo hunting, mains)", unit="Hz", above=0, high=500)
    phase_deg: float = knob(0.0, "phase of the cosine at the start of the recording", unit="°")

    def __post_init__(self) -> None:
        check_knobs(self)
        if (self.part is None) == (self.hz is None):
            raise ValueError("line.part: give either part or hz, not both and not neither")


@dataclass(frozen=True, slots=True)
class Parts(Checked):
    """Dimensions from which the rates of the turning parts follow (trade practice 4.2, flat-belt theory)."""

    pulley_mm: float = knob(12.0, "pulley (or idler-drive motor step) diameter", unit="mm", above=0, high=500)
    hub_mm: float = knob(167.0, "diameter of the surface the belt drives", unit="mm", above=0, high=500)
    belt_thickness_mm: float = knob(0.6, "belt thickness; the belt bends about its middle", unit="mm", low=0, high=5)
    belt_length_mm: float = knob(600.0, "belt length as fitted", unit="mm", above=0, high=5000)
    rim_mm: float = knob(270.0, "inner diameter of the rim an idler drives", unit="mm", above=0, high=500)
    idler_mm: float = knob(60.0, "idler diameter", unit="mm", above=0, high=500)
    drive: Literal["belt", "idler"] = knob("belt", "which path couples motor and platter")

    def turns_per_platter_turn(self, part: Part) -> float:
        """How often a part turns while the platter turns once.

        Belt: motor (hub + t)/(pulley + t), belt pi (hub + t)/length. Idler: rim/idler, motor rim/pulley step.
        """
        hub = self.hub_mm + self.belt_thickness_mm
        if part == "platter":
            return 1.0
        if part == "belt":
            return 3.141592653589793 * hub / self.belt_length_mm
        if part == "idler":
            return self.rim_mm / self.idler_mm
        if self.drive == "idler":
            return self.rim_mm / self.pulley_mm
        return hub / (self.pulley_mm + self.belt_thickness_mm)


@dataclass(frozen=True, slots=True)
class RandomFlutter(Checked):
    """Gaussian speed variation in a band (Butterworth, second order each side)."""

    rms_percent: float = knob(None, "rms deviation", unit="%", low=0, high=2, required=True)
    low_hz: float = knob(0.5, "lower edge of the band", unit="Hz", low=0.05, high=100)
    high_hz: float = knob(50.0, "upper edge of the band", unit="Hz", low=0.1, high=400)

    def __post_init__(self) -> None:
        check_knobs(self)
        if self.high_hz <= self.low_hz:
            raise ValueError(f"randomflutter.high_hz = {self.high_hz:g} Hz: must be above low_hz = {self.low_hz:g} Hz")


@dataclass(frozen=True, slots=True)
class VibrationLine(Checked):
    """One line of rumble or motor vibration, lateral or vertical."""

    direction: Direction = knob(None, "which way the groove moves against the cartridge", required=True)
    level_db: float = knob(
        None,
        "rms level after RIAA replay re a sine of 10 cm/s peak at 1 kHz in that direction",
        unit="dB",
        low=-140,
        high=10,
        required=True,
    )
    hz: float | None = knob(
        None, "fixed rate (torque ripple of a mains motor: 100 or 120)", unit="Hz", above=0, high=1000
    )
    part: Part | None = knob(None, "part whose rotation makes it, instead of hz")
    order: float = knob(1.0, "periods per turn of that part", above=0, high=1000)
    phase_deg: float = knob(0.0, "phase of the cosine at the start of the recording", unit="°")

    def __post_init__(self) -> None:
        check_knobs(self)
        if (self.part is None) == (self.hz is None):
            raise ValueError("vibrationline.part: give either part or hz, not both and not neither")


@dataclass(frozen=True, slots=True)
class Rumble(Checked):
    """Bearing and motor vibration reaching the stylus: noise in both directions, and lines.

    Levels are rms after RIAA replay in the unweighted band of the reading (10 Hz order 2 to 500 Hz order 4, a working
    model), re 10 cm/s peak at 1 kHz in the same direction.
    """

    lateral_db: float | None = knob(None, "level of the lateral noise", unit="dB", low=-140, high=10)
    vertical_db: float | None = knob(None, "level of the vertical noise", unit="dB", low=-140, high=10)
    corner_hz: float = knob(30.0, "corner of the second-order low-pass of its velocity", unit="Hz", low=5, high=300)
    lines: tuple[VibrationLine, ...] = knob((), "lines", key="line")


@dataclass(frozen=True, slots=True)
class Deck(Checked):
    """The record player's drive."""

    selected_rpm: float | None = knob(None, "speed selected when it is not the disc's", unit="rpm", above=0, high=120)
    speed_error_percent: float = knob(0.0, "speed error at the start of the recording", unit="%", low=-20, high=20)
    drift_percent_per_min: float = knob(0.0, "steady change of speed", unit="%/min", low=-5, high=5)
    parts: Parts = knob(Parts, "sizes of the turning parts")
    lines: tuple[Line, ...] = knob((), "wow and flutter lines", key="line")
    random_flutter: RandomFlutter | None = knob(None, "random flutter")
    rumble: Rumble = knob(Rumble, "rumble and motor vibration")

    def turns_per_minute(self, disc_rpm: float) -> float:
        """Speed selected: the disc's unless another is named (33 and 78 meant as :func:`rated_rpm` says)."""
        return disc_rpm if self.selected_rpm is None else rated_rpm(self.selected_rpm)
