# ruff: noqa: RUF009  (knob() declares a dataclass field)
"""What can be set on the test disc, its bands, and how the hand at the deck plays it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from spindlewright.simulate.deck_knobs import Direction, rated_rpm
from spindlewright.simulate.knob import Checked, check_knobs, knob

BandKind = Literal["tone", "left", "right", "vertical", "sweep", "noise", "silence", "run_out"]


@dataclass(frozen=True, slots=True)
class CutBand(Checked):
    """One band as cut.

    ``velocity_cm_s`` is the peak velocity at 1 kHz when ``equalisation`` is ``riaa``: the groove at ``hz`` then moves
    by the recording curve more or less, and RIAA replay gives the same level at any frequency. With ``flat`` it is
    the groove's own velocity at ``hz``. Direction of it: ``tone`` lateral; ``left``, ``right`` that wall alone.
    """

    kind: BandKind = knob(None, "what it holds", required=True)
    seconds: float = knob(None, "length at rated speed", unit="s", above=0, high=7200, required=True)
    name: str = knob("", "name, for the truth")
    hz: float = knob(1000.0, "tone, or start of the sweep", unit="Hz", low=1, high=50_000)
    to_hz: float | None = knob(None, "end of the sweep (logarithmic)", unit="Hz", low=1, high=50_000)
    velocity_cm_s: float = knob(
        5.0, "peak velocity (noise: of the sine with the same rms)", unit="cm/s", low=0, high=100
    )
    equalisation: Literal["riaa", "flat"] = knob("riaa", "cut with the recording curve or with constant velocity")
    direction: Direction | None = knob(None, "of a sweep or noise band; none: lateral")
    phase_deg: float = knob(0.0, "phase of the cosine at the band's start", unit="°")
    gap_s: float = knob(0.0, "unmodulated groove before it, at rated speed", unit="s", low=0, high=600)
    radius_mm: float | None = knob(
        None, "radius at its start; none: where the groove has got to", unit="mm", low=20, high=200
    )
    pitch_mm: float | None = knob(None, "groove advance per turn; none: the disc's", unit="mm", low=0, high=20)
    scratches_per_turn: int = knob(0, "ticks at fixed angles, once per turn each", low=0, high=100)
    scratch_peak_db: float = knob(0.0, "their peak after replay re 5 cm/s peak per wall", unit="dB", low=-80, high=40)

    def __post_init__(self) -> None:
        check_knobs(self)
        if self.kind == "sweep" and self.to_hz is None:
            raise ValueError("cutband.to_hz: a sweep needs its end frequency")
        if self.direction is not None and self.kind not in ("sweep", "noise"):
            raise ValueError(f"cutband.direction = {self.direction}: only for sweep and noise bands")


@dataclass(frozen=True, slots=True)
class Disc(Checked):
    """The test disc as pressed."""

    rpm: float = knob(100.0 / 3.0, "rated speed; 33 means 100/3, 78 means 3600/46", unit="rpm", above=0, high=120)
    tone_error_percent: float = knob(
        0.0, "cutting error: heard at exactly rated speed its tones are so much high", unit="%", low=-10, high=10
    )
    eccentricity_mm: float = knob(0.0, "centre of the grooves off the spindle", unit="mm", low=0, high=3)
    eccentricity_phase_deg: float = knob(
        0.0,
        "direction of it at the start of the recording, from the line spindle to pivot, with the rotation",
        unit="°",
    )
    warp_mm: float = knob(0.0, "zero-to-peak height of the warp", unit="mm", low=0, high=5)
    warp_order: int = knob(2, "waves per turn", low=1, high=20)
    warp_phase_deg: float = knob(0.0, "phase of the height's cosine at the start of the recording", unit="°")
    start_radius_mm: float = knob(140.0, "radius at the end of the lead-in", unit="mm", low=30, high=200)
    pitch_mm: float = knob(
        0.0,
        "groove advance per turn (0: concentric; a pivoted arm hears 0.1 as about 0.007 % of speed)",
        unit="mm",
        low=0,
        high=2,
    )
    surface_noise_db: float | None = knob(
        None,
        "A-weighted groove noise per channel after replay, re 5 cm/s peak per wall at 1 kHz",
        unit="dB",
        low=-140,
        high=0,
    )
    surface_noise_shape: Literal["groove", "flat"] = knob(
        "groove", "white as velocity at the stylus, or white after RIAA replay"
    )
    ticks_per_minute: float = knob(0.0, "ticks and pops at random places", unit="1/min", low=0, high=3000)
    tick_peak_db: float = knob(10.0, "their peak after replay re 5 cm/s peak per wall", unit="dB", low=-80, high=40)
    tick_spread_db: float = knob(0.0, "standard deviation of that", unit="dB", low=0, high=20)
    tick_width_us: float = knob(100.0, "their width at the stylus", unit="µs", low=5, high=5000)
    ticks_apart_s: float = knob(0.02, "least distance of two ticks", unit="s", low=0, high=10)
    tone_edge_s: float = knob(0.005, "rise and fall of each tone", unit="s", low=0, high=1)

    @property
    def rated_rpm(self) -> float:
        """Exact rated speed: 33 stands for 100/3, 78 for 3600/46."""
        return rated_rpm(self.rpm)


@dataclass(frozen=True, slots=True)
class Take(Checked):
    """What the hand at the deck does: stylus down, listen, stylus up. Times of the recording, not of the disc."""

    lifted_before_s: float = knob(1.0, "recording runs, arm lifted", unit="s", low=0, high=600)
    lead_in_s: float = knob(2.0, "lead-in groove before the first band", unit="s", low=0, high=60)
    lead_out_s: float = knob(1.0, "groove after the last band", unit="s", low=0, high=60)
    lifted_after_s: float = knob(1.0, "arm lifted, recording runs on", unit="s", low=0, high=600)
    needle_drop_db: float | None = knob(
        None, "peak of the thump of landing re 5 cm/s peak per wall, as velocity", unit="dB", low=-60, high=40
    )
