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
from typing import Any, Literal

from spindlewright.simulate.knob import check_knobs, from_mapping, knob

BandKind = Literal["tone", "left", "right", "vertical", "sweep", "noise", "silence", "run_out"]
Direction = Literal["lateral", "vertical", "left", "right"]
Part = Literal["platter", "belt", "pulley", "motor", "idler"]
REFERENCE_VELOCITY_CM_S = 5.0
"""Peak velocity per wall at 1 kHz to which the knobs in dB refer."""


class _Checked:
    def __post_init__(self) -> None:
        check_knobs(self)


@dataclass(frozen=True, slots=True)
class Line(_Checked):
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
class Parts(_Checked):
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
class RandomFlutter(_Checked):
    """Gaussian speed variation in a band (Butterworth, second order each side)."""

    rms_percent: float = knob(None, "rms deviation", unit="%", low=0, high=2, required=True)
    low_hz: float = knob(0.5, "lower edge of the band", unit="Hz", low=0.05, high=100)
    high_hz: float = knob(50.0, "upper edge of the band", unit="Hz", low=0.1, high=400)

    def __post_init__(self) -> None:
        check_knobs(self)
        if self.high_hz <= self.low_hz:
            raise ValueError(f"randomflutter.high_hz = {self.high_hz:g} Hz: must be above low_hz = {self.low_hz:g} Hz")


@dataclass(frozen=True, slots=True)
class VibrationLine(_Checked):
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
class Rumble(_Checked):
    """Bearing and motor vibration reaching the stylus: noise in both directions, and lines.

    Levels are rms after RIAA replay in the unweighted band of the reading (10 Hz order 2 to 500 Hz order 4, a working
    model), re 10 cm/s peak at 1 kHz in the same direction.
    """

    lateral_db: float | None = knob(None, "level of the lateral noise", unit="dB", low=-140, high=10)
    vertical_db: float | None = knob(None, "level of the vertical noise", unit="dB", low=-140, high=10)
    corner_hz: float = knob(30.0, "corner of the second-order low-pass of its velocity", unit="Hz", low=5, high=300)
    lines: tuple[VibrationLine, ...] = knob((), "lines", key="line")


@dataclass(frozen=True, slots=True)
class Deck(_Checked):
    """The record player's drive."""

    selected_rpm: float | None = knob(None, "speed selected when it is not the disc's", unit="rpm", above=0, high=120)
    speed_error_percent: float = knob(0.0, "speed error at the start of the recording", unit="%", low=-20, high=20)
    drift_percent_per_min: float = knob(0.0, "steady change of speed", unit="%/min", low=-5, high=5)
    parts: Parts = knob(Parts(), "sizes of the turning parts")
    lines: tuple[Line, ...] = knob((), "wow and flutter lines", key="line")
    random_flutter: RandomFlutter | None = knob(None, "random flutter")
    rumble: Rumble = knob(Rumble(), "rumble and motor vibration")


@dataclass(frozen=True, slots=True)
class Arm(_Checked):
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
class Electrical(_Checked):
    """Coil and load of a magnetic cartridge (published-values 10)."""

    coil_resistance_ohm: float = knob(1000.0, "resistance of one coil", unit="Ω", low=0, high=10000)
    coil_inductance_mh: float = knob(500.0, "inductance of one coil", unit="mH", above=0, high=5000)
    load_resistance_kohm: float = knob(47.0, "load resistance", unit="kΩ", above=0, high=1000)
    load_capacitance_pf: float = knob(250.0, "leads and input capacitance", unit="pF", low=1, high=10000)


@dataclass(frozen=True, slots=True)
class Cartridge(_Checked):
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
class Phono(_Checked):
    """What stands between cartridge and recorder."""

    chain: Literal["riaa", "flat"] = knob("riaa", "replay equalisation in circuit or not")
    level_dbfs: float = knob(
        -20.0, "level of 5 cm/s peak per wall at 1 kHz in the file", unit="dBFS", low=-120, high=40
    )
    subsonic_hz: float | None = knob(
        None, "first-order high-pass on replay (the 7950 µs amendment: 20.02)", unit="Hz", low=0.1, high=100
    )


@dataclass(frozen=True, slots=True)
class HumLine(_Checked):
    """One mains line per channel at the recorder's input."""

    order: int = knob(None, "multiple of the mains frequency", low=1, high=100, required=True)
    left_dbfs: float | None = knob(None, "level in the left channel; none: absent", unit="dBFS", low=-160, high=10)
    right_dbfs: float | None = knob(None, "level in the right channel; none: absent", unit="dBFS", low=-160, high=10)
    left_phase_deg: float = knob(0.0, "phase of the cosine at the start of the recording", unit="°")
    right_phase_deg: float = knob(0.0, "the same, right", unit="°")


@dataclass(frozen=True, slots=True)
class Hum(_Checked):
    """Mains lines picked up by leads, coils and earth loops."""

    mains_hz: float = knob(50.0, "true mains frequency", unit="Hz", low=10, high=100)
    lines: tuple[HumLine, ...] = knob((), "lines", key="line")


@dataclass(frozen=True, slots=True)
class AutomaticGain(_Checked):
    """A recorder that levels by itself."""

    target_dbfs: float = knob(-12.0, "level it aims at", unit="dBFS", low=-60, high=0)
    highest_gain_db: float = knob(30.0, "gain it will not exceed", unit="dB", low=0, high=80)
    attack_s: float = knob(0.02, "time constant when it turns down", unit="s", low=0.001, high=10)
    release_s: float = knob(1.0, "time constant when it turns up", unit="s", low=0.01, high=60)


@dataclass(frozen=True, slots=True)
class DropOut(_Checked):
    """A short loss of level."""

    at_s: float = knob(None, "when", unit="s", low=0, required=True)
    length_s: float = knob(0.02, "how long", unit="s", above=0, high=60)
    depth_db: float = knob(60.0, "how far the level falls", unit="dB", above=0, high=200)
    channel: Literal["both", "left", "right"] = knob("both", "where")


@dataclass(frozen=True, slots=True)
class Missing(_Checked):
    """Samples lost between converter and file: what follows comes early."""

    at_s: float = knob(None, "when", unit="s", low=0, required=True)
    samples: int = knob(441, "how many", low=1, high=10_000_000)


@dataclass(frozen=True, slots=True)
class Recorder(_Checked):
    """Converter and file."""

    rate_hz: int = knob(96_000, "nominal sample rate of the converter", unit="Hz", low=8_000, high=384_000)
    declared_rate_hz: int | None = knob(
        None, "rate written into the file when wrong", unit="Hz", low=4_000, high=768_000
    )
    clock_error_ppm: float = knob(
        0.0, "converter clock fast: tones come out low", unit="ppm", low=-10_000, high=10_000
    )
    bits: Literal[16, 24, 32, "float"] = knob(24, "word length of the file")
    gain_db: float = knob(0.0, "gain before the converter, on everything, hum included", unit="dB", low=-120, high=120)
    noise_dbfs: float | None = knob(-110.0, "white converter noise, rms", unit="dBFS", low=-160, high=0)
    offset_left: float = knob(0.0, "constant offset, full scale 1", low=-1, high=1)
    offset_right: float = knob(0.0, "the same, right", low=-1, high=1)
    clip_dbfs: float | None = knob(
        None, "level where the input stage clips; none: at full scale", unit="dBFS", low=-80, high=0
    )
    mono: bool = knob(False, "both channels carry the mean of the two")
    dead: Literal["none", "left", "right"] = knob("none", "channel that carries only converter noise")
    automatic_gain: AutomaticGain | None = knob(None, "automatic gain")
    gain_step_db: float = knob(0.0, "change of gain part way", unit="dB", low=-60, high=60)
    gain_step_at_s: float = knob(0.0, "when it changes", unit="s", low=0)
    drop_outs: tuple[DropOut, ...] = knob((), "drop-outs", key="drop_out")
    missing: tuple[Missing, ...] = knob((), "lost samples")


@dataclass(frozen=True, slots=True)
class CutBand(_Checked):
    """One band as cut. ``velocity_cm_s`` is the peak velocity at 1 kHz when ``equalisation`` is ``riaa`` (the groove at
    ``hz`` then moves by the recording curve more or less, and RIAA replay gives the same level at any frequency);
    with ``flat`` it is the groove's own velocity at ``hz``. ``tone``: lateral; ``left``, ``right``: of that wall.
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
class Disc(_Checked):
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
        return {33.0: 100.0 / 3.0, 78.0: 3600.0 / 46.0}.get(self.rpm, self.rpm)


@dataclass(frozen=True, slots=True)
class Take(_Checked):
    """What the hand at the deck does: stylus down, listen, stylus up. Times of the recording, not of the disc."""

    lifted_before_s: float = knob(1.0, "recording runs, arm lifted", unit="s", low=0, high=600)
    lead_in_s: float = knob(2.0, "lead-in groove before the first band", unit="s", low=0, high=60)
    lead_out_s: float = knob(1.0, "groove after the last band", unit="s", low=0, high=60)
    lifted_after_s: float = knob(1.0, "arm lifted, recording runs on", unit="s", low=0, high=600)
    needle_drop_db: float | None = knob(
        None, "peak of the thump of landing re 5 cm/s peak per wall, as velocity", unit="dB", low=-60, high=40
    )


@dataclass(frozen=True, slots=True)
class Spec(_Checked):
    """A deck, a disc and a recorder: all that :func:`spindlewright.simulate.render.render` needs.

    Example: a deck 0.3 % fast playing half a minute of 3150 Hz::

        Spec(deck=Deck(speed_error_percent=0.3), bands=(CutBand(kind="tone", hz=3150, seconds=30),))
    """

    bands: tuple[CutBand, ...] = knob((), "bands in playing order", key="band")
    deck: Deck = knob(Deck(), "drive")
    arm: Arm = knob(Arm(), "arm")
    cartridge: Cartridge = knob(Cartridge(), "cartridge")
    disc: Disc = knob(Disc(), "disc")
    phono: Phono = knob(Phono(), "phono stage")
    hum: Hum = knob(Hum(), "mains hum")
    recorder: Recorder = knob(Recorder(), "recorder")
    take: Take = knob(Take(), "what the hand does")
    seed: int = knob(0, "seed of everything random", low=0, high=2**63 - 1)

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
