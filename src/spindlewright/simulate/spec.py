# ruff: noqa: RUF009  (knob() declares a dataclass field)
"""What can be set on a simulated deck, its disc and its recorder: every knob with unit, meaning and range.

Conventions. Speed errors in percent are positive when the sound comes out fast. Levels in dBFS follow AES17
(0 dBFS: rms of a full-scale sine); a sine of peak amplitude ``a`` (full scale 1) therefore has ``20 log10 a`` dBFS.
Velocities are zero-to-peak. A lateral (or vertical) tone of peak velocity v moves each groove wall with v/sqrt 2
(45/45 system, IEC 60098 clause 6). The reference velocity of the knobs is 5 cm/s peak *per wall* at 1 kHz, which comes
out at ``phono.level_dbfs``; a lateral tone of 5 cm/s comes out 3.01 dB lower in each channel.
Everything left at its default is ideal: exact speed, no noise from the groove, no hum, upright cartridge.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from spindlewright.simulate.deck_knobs import Deck, Direction, Line, Part, Parts, RandomFlutter, Rumble, VibrationLine
from spindlewright.simulate.disc_knobs import BandKind, CutBand, Disc, Take
from spindlewright.simulate.knob import Checked, check_knobs, from_mapping, knob
from spindlewright.simulate.pickup_knobs import Arm, Cartridge, Electrical, Phono
from spindlewright.simulate.recorder_knobs import AutomaticGain, DropOut, Hum, HumLine, Missing, Recorder

__all__ = [
    "REFERENCE_VELOCITY_CM_S",
    "Arm",
    "AutomaticGain",
    "BandKind",
    "Cartridge",
    "CutBand",
    "Deck",
    "Direction",
    "Disc",
    "DropOut",
    "Electrical",
    "Hum",
    "HumLine",
    "Line",
    "Missing",
    "Part",
    "Parts",
    "Phono",
    "RandomFlutter",
    "Recorder",
    "Rumble",
    "Spec",
    "Take",
    "VibrationLine",
    "radii_mm",
]

REFERENCE_VELOCITY_CM_S = 5.0
"""Peak velocity per wall at 1 kHz to which the knobs in dB refer."""


@dataclass(frozen=True, slots=True)
class Spec(Checked):
    """A deck, a disc and a recorder: all that :func:`spindlewright.simulate.render.render` needs.

    Example: a deck 0.3 % fast playing half a minute of 3150 Hz::

        Spec(deck=Deck(speed_error_percent=0.3), bands=(CutBand(kind="tone", hz=3150, seconds=30),))
    """

    bands: tuple[CutBand, ...] = knob((), "bands in playing order", key="band")
    deck: Deck = knob(Deck, "drive")
    arm: Arm = knob(Arm, "arm")
    cartridge: Cartridge = knob(Cartridge, "cartridge")
    disc: Disc = knob(Disc, "disc")
    phono: Phono = knob(Phono, "phono stage")
    hum: Hum = knob(Hum, "mains hum")
    recorder: Recorder = knob(Recorder, "recorder")
    take: Take = knob(Take, "what the hand does")
    seed: int = knob(0, "seed of everything random", low=0, high=999_999_999)

    def __post_init__(self) -> None:
        check_knobs(self)
        arm, disc = self.arm, self.disc
        for number, (band, start_mm, end_mm) in enumerate(radii_mm(self), 1):
            for radius in (start_mm, end_mm):
                reached = abs(arm.effective_length_mm - arm.pivot_to_spindle_mm) + disc.eccentricity_mm
                if radius <= reached or radius < 20.0:
                    raise ValueError(
                        f"band[{number}].radius_mm: the groove reaches {radius:.1f} mm; the arm plays only above "
                        f"{max(reached, 20.0):.1f} mm"
                    )
            if band.radius_mm is not None and band.gap_s == 0.0 and number > 1:
                raise ValueError(f"band[{number}].gap_s = 0: a band with a radius of its own needs a gap before it")

    @classmethod
    def from_dict(cls, mapping: Mapping[str, Any]) -> Spec:
        """Make a specification from parsed TOML.

        Raises ValueError with one line that names the key, the value found and what is allowed.
        """
        return from_mapping(cls, mapping)


def radii_mm(spec: Spec) -> list[tuple[CutBand, float, float]]:
    """Groove radius at the start and end of each band (from rated speed)."""
    out = []
    turns_per_s = spec.disc.rated_rpm / 60.0
    radius = spec.disc.start_radius_mm
    for band in spec.bands:
        start = (
            band.radius_mm if band.radius_mm is not None else radius - spec.disc.pitch_mm * turns_per_s * band.gap_s
        )
        pitch = band.pitch_mm if band.pitch_mm is not None else spec.disc.pitch_mm
        radius = start if band.kind == "run_out" else start - pitch * turns_per_s * band.seconds
        out.append((band, start, radius))
    return out
