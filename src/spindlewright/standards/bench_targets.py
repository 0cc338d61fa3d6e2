"""Targets of the repair trade for a serviced record deck, by kind of drive: common practice, no source.

Starting values for a bench to overwrite with its own; never shown to an owner as a standard.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from spindlewright.standards.requirement import AT_1_KHZ, Requirement

SOURCE = "bench target"

_row = partial(Requirement, source=SOURCE, status="practice")
_FLUTTER = ("wow_flutter_weighted", "wow_flutter_weighted_quasi_peak")
_CROSSTALK = ("crosstalk_left_to_right", "crosstalk_right_to_left")
_RESONANCE = ("arm_resonance_lateral", "arm_resonance_vertical")


@dataclass(frozen=True, slots=True)
class DriveTarget:
    """Speed deviation in % a sound deck of this kind should keep, either way."""

    kind: str
    in_words: str
    speed_percent: float


DRIVES: tuple[DriveTarget, ...] = (
    DriveTarget("quartz-direct", "quartz-locked direct drive", 0.05),
    DriveTarget("servo", "servo drive without quartz", 0.2),
    DriveTarget("belt", "belt with a synchronous motor", 0.3),
    DriveTarget("idler", "idler wheel", 0.5),
    DriveTarget("changer", "old changer", 1.0),
)

REQUIREMENTS: tuple[Requirement, ...] = (
    _row(
        "drift within 0.3 % in 20 min after warm-up",
        -0.015,
        0.015,
        "%/min",
        ("speed_drift",),
        condition="as a mean rate; 0.1 % is good, more than 0.3 % a fault",
    ),
    _row(
        "weighted wow and flutter at most ±0.2 %, zero to peak",
        None,
        0.2,
        "%",
        _FLUTTER,
        condition="under 0.1 % good, to 0.2 % sound, over 0.25 % audible on piano",
    ),
    _row(
        "channel difference at most 2 dB",
        -2.0,
        2.0,
        "dB",
        ("channel_balance",),
        condition="2 dB may be the cartridge's own; beyond 3 dB look at contacts",
    ),
    _row(
        "separation at least 20 dB",
        None,
        -20.0,
        "dB",
        _CROSSTALK,
        AT_1_KHZ,
        condition="20 to 30 dB is the usual reading, no agreed limit",
    ),
    _row("headshell within 2° of upright", -2.0, 2.0, "°", ("azimuth_error",)),
    _row("arm resonance 7 to 12 Hz", 7.0, 12.0, "Hz", _RESONANCE, condition="8 to 12 Hz is wanted"),
    _row("earth path from arm to lead at most 2 Ω", None, 2.0, "Ω", ("arm_to_lead_resistance",)),
)


def speed_requirement(drive: DriveTarget) -> Requirement:
    """The speed target of one kind of drive as a row of requirements."""
    limit = drive.speed_percent
    return _row(f"speed of a {drive.in_words} within ±{limit:g} %", -limit, limit, "%", ("speed_deviation",))
