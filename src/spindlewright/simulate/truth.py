"""What was really put in: band by band, for tests and training. Readings never see it.

All times are times in the file (sample number over the declared rate). Speed deviations are relative to the disc's
rated speed, positive fast. *Heard* means what a perfect demodulator of the noise-free sound would find: deck, disc,
arm and recorder clock together. *Deck* means the platter alone.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np

from spindlewright.simulate.arm_geometry import tangent_angle_rad
from spindlewright.simulate.cartridge import channel_matrix, output_matrix, treble_response
from spindlewright.simulate.equalisation import replay_gain, subsonic_response
from spindlewright.simulate.groove import Groove, PlacedBand
from spindlewright.simulate.heard_speed import Deviation, deviation, heard_figures
from spindlewright.simulate.modulation import cut_velocity_cm_s, wall_share
from spindlewright.simulate.noise_levels import NoiseLevels, noise_levels
from spindlewright.simulate.recorder import file_time_s
from spindlewright.simulate.spec import REFERENCE_VELOCITY_CM_S, Line, Spec
from spindlewright.simulate.ticks import ticks_of
from spindlewright.simulate.timebase import timebase_of


@dataclass(frozen=True, slots=True)
class TrueLine:
    """One speed line as put in: rate in Hz at the deck's mean speed, peak in % of mean speed, its maker."""

    rate_hz: float
    peak_percent: float
    maker: str


@dataclass(frozen=True, slots=True)
class TrueHumLine:
    """One mains line per channel in the file; None where absent. ``frequency_hz`` as the file shows it."""

    order: int
    frequency_hz: float
    left_dbfs: float | None
    right_dbfs: float | None


@dataclass(frozen=True, slots=True)
class TrueCrosstalk:
    """Undriven over driven output at one frequency, as the outputs stand; dB and phase."""

    frequency_hz: float
    left_to_right_db: float
    left_to_right_phase_deg: float
    right_to_left_db: float
    right_to_left_phase_deg: float


@dataclass(frozen=True, slots=True)
class TrueBand:
    """One band: where it lies in the file, what was cut, and what a perfect reading of it would say.

    ``deck_speed_percent`` is mean and drift of the deck at the band's centre; ``heard_speed_percent`` and
    ``heard_drift_percent_per_min`` come from a least-squares quadratic through the noise-free phase of the whole band.
    ``once_per_revolution_percent`` is the peak of the heard line at the platter's rate, its phase that of the cosine
    at the band's start in platter angle (None below one turn). ``eccentricity_percent`` is the disc's share,
    e/(r cos phi), at the centre.
    Levels are of the tone in each channel, None where there is no single tone.
    """

    index: int
    name: str
    kind: str
    start_s: float
    end_s: float
    nominal_hz: float | None
    to_hz: float | None
    radius_mm: float
    deck_speed_percent: float
    deck_rotation_rpm: float
    heard_speed_percent: float
    heard_drift_percent_per_min: float
    once_per_revolution_percent: float | None
    once_per_revolution_phase_deg: float | None
    eccentricity_percent: float
    left_dbfs: float | None
    right_dbfs: float | None
    crosstalk: TrueCrosstalk | None


@dataclass(frozen=True, slots=True)
class Truth:
    """Everything put into a side. ``to_dict`` gives plain values for JSON; :meth:`deviation` the speed over time."""

    duration_s: float
    rate_hz: float
    landing_s: float
    lifting_s: float
    bands: tuple[TrueBand, ...]
    drift_percent_per_min: float
    lines: tuple[TrueLine, ...]
    random_flutter_rms_percent: float
    tone_error_percent: float
    clock_error_ppm: float
    eccentricity_mm: float
    warp_mm: float
    azimuth_deg: float
    symmetric_crosstalk_db: float | None
    balance_db: float
    mains_hz: float
    mains_in_file_hz: float
    hum: tuple[TrueHumLine, ...]
    reference_dbfs: float
    noise: NoiseLevels
    tick_times_s: tuple[float, ...]
    tick_peaks_db: tuple[float, ...]
    scratch_times_s: tuple[float, ...]
    defects: tuple[str, ...]
    spec: Spec = field(repr=False)

    def to_dict(self) -> dict[str, Any]:
        """Plain dictionaries, lists and numbers, ready for JSON."""
        return asdict(self)

    def deviation(self, start_s: float, end_s: float) -> Deviation:
        """Noise-free speed deviation between two file times, about 6000 values a second."""
        return deviation(self.spec, start_s, end_s)


def truth_of(spec: Spec) -> Truth:
    """The truth of a specification; needs no rendering."""
    timebase = timebase_of(spec.recorder)
    groove = Groove(spec, timebase)
    clock = timebase.true_rate_hz / timebase.file_rate_hz

    def in_file(t: np.ndarray | float) -> np.ndarray:
        return file_time_s(spec.recorder, timebase, t)

    ticks = ticks_of(spec, groove)
    times = in_file(ticks.time_s)
    deck = spec.deck
    lines = [TrueLine(_line_rate_hz(groove, line), line.peak_percent, line.part or "fixed") for line in deck.lines]
    hum = [
        TrueHumLine(
            line.order,
            line.order * spec.hum.mains_hz / clock,
            _plus(line.left_dbfs, spec.recorder.gain_db),
            _plus(line.right_dbfs, spec.recorder.gain_db),
        )
        for line in spec.hum.lines
    ]
    return Truth(
        duration_s=float(in_file(groove.duration_s)),
        rate_hz=timebase.file_rate_hz,
        landing_s=float(in_file(groove.landing_s)),
        lifting_s=float(in_file(groove.lifting_s)),
        bands=tuple(_band(spec, groove, band) for band in groove.bands),
        drift_percent_per_min=deck.drift_percent_per_min * groove.speed.nominal_hz / groove.speed.rated_hz,
        lines=tuple(lines),
        random_flutter_rms_percent=deck.random_flutter.rms_percent if deck.random_flutter else 0.0,
        tone_error_percent=spec.disc.tone_error_percent,
        clock_error_ppm=spec.recorder.clock_error_ppm,
        eccentricity_mm=spec.disc.eccentricity_mm,
        warp_mm=spec.disc.warp_mm,
        azimuth_deg=spec.cartridge.azimuth_deg,
        symmetric_crosstalk_db=spec.cartridge.crosstalk_db,
        balance_db=spec.cartridge.balance_db,
        mains_hz=spec.hum.mains_hz,
        mains_in_file_hz=spec.hum.mains_hz / clock,
        hum=tuple(hum),
        reference_dbfs=spec.phono.level_dbfs + spec.recorder.gain_db,
        noise=noise_levels(spec, groove),
        tick_times_s=tuple(times[~ticks.scratch].tolist()),
        tick_peaks_db=tuple(ticks.peak_db[~ticks.scratch].tolist()),
        scratch_times_s=tuple(times[ticks.scratch].tolist()),
        defects=_defects(spec),
        spec=spec,
    )


def _line_rate_hz(groove: Groove, line: Line) -> float:
    if line.part is None:
        return float(line.hz or 0.0)
    return line.order * groove.spec.deck.parts.turns_per_platter_turn(line.part) * groove.speed.mean_hz


def _plus(level: float | None, gain: float) -> float | None:
    return None if level is None else level + gain


def _band(spec: Spec, groove: Groove, band: PlacedBand) -> TrueBand:
    cut, timebase = band.cut, groove.timebase
    real = groove.times_of(np.array([band.start, 0.5 * (band.start + band.end), band.end]))
    start_s, _, end_s = file_time_s(spec.recorder, timebase, real).tolist()
    tone = cut.kind in ("tone", "left", "right", "vertical")
    radius = float(np.interp(0.5, (0.0, 1.0), (band.start_radius_mm, band.end_radius_mm)))
    heard = heard_figures(groove, float(real[0]), float(real[2]))
    deck = groove.speed.mean_deviation(float(real[1]))
    left, right = _tone_levels(spec, band, 1.0 + heard.speed_percent / 100.0) if tone else (None, None)
    return TrueBand(
        index=band.index,
        name=cut.name,
        kind=cut.kind,
        start_s=start_s,
        end_s=end_s,
        nominal_hz=cut.hz if tone or cut.kind == "sweep" else None,
        to_hz=cut.to_hz,
        radius_mm=radius,
        deck_speed_percent=100.0 * deck,
        deck_rotation_rpm=60.0 * groove.speed.rated_hz * (1.0 + deck),
        heard_speed_percent=heard.speed_percent,
        heard_drift_percent_per_min=heard.drift_percent_per_min,
        once_per_revolution_percent=heard.once_per_revolution_percent,
        once_per_revolution_phase_deg=heard.once_per_revolution_phase_deg,
        eccentricity_percent=float(
            100.0 * spec.disc.eccentricity_mm / (radius * np.cos(tangent_angle_rad(spec.arm, radius)))
        ),
        left_dbfs=left,
        right_dbfs=right,
        crosstalk=_crosstalk(spec, cut.hz) if tone else None,
    )


def _tone_levels(spec: Spec, band: PlacedBand, pace: float) -> tuple[float | None, float | None]:
    """dBFS of the tone in left and right, played ``pace`` times as fast as cut; None below −200."""
    cut = band.cut
    played_hz = cut.hz * pace
    matrix = output_matrix(spec.cartridge, played_hz)
    f = np.array([played_hz])
    chain = pace * _replay_gain(spec, f)[0]
    chain = chain * np.abs(treble_response(spec.cartridge, f))[0]
    chain = chain * np.abs(subsonic_response(f, spec.phono.subsonic_hz))[0]
    walls = np.array(wall_share(cut)) * float(cut_velocity_cm_s(cut, cut.hz)) / REFERENCE_VELOCITY_CM_S
    out = np.abs(matrix @ walls) * chain
    gain = spec.phono.level_dbfs + spec.recorder.gain_db
    left, right = (float(20.0 * np.log10(a) + gain) if a > 1e-10 else None for a in out)
    return left, right


def _replay_gain(spec: Spec, frequency_hz: np.ndarray) -> np.ndarray:
    """Gain of the replay equaliser: the curve itself; the pick-up's filter makes up what the digital one lacks."""
    return replay_gain(frequency_hz) if spec.phono.chain == "riaa" else np.ones(len(frequency_hz))


def _crosstalk(spec: Spec, hz: float) -> TrueCrosstalk:
    matrix = channel_matrix(spec.cartridge, hz)
    to_right, to_left = matrix[1, 0] / matrix[0, 0], matrix[0, 1] / matrix[1, 1]
    with np.errstate(divide="ignore"):
        return TrueCrosstalk(
            hz,
            float(20.0 * np.log10(abs(to_right))),
            float(np.angle(to_right, deg=True)),
            float(20.0 * np.log10(abs(to_left))),
            float(np.angle(to_left, deg=True)),
        )


def _defects(spec: Spec) -> tuple[str, ...]:
    """Fitness codes of the contract that this recording deserves by construction."""
    r, found = spec.recorder, []
    if r.clip_dbfs is not None:
        found.append("clipped")
    if r.offset_left or r.offset_right:
        found.append("offset")
    if r.dead != "none":
        found.append("channel_dead")
    if r.mono:
        found.append("mono")
    if spec.cartridge.inverted != "none":
        found.append("inverted")
    if spec.cartridge.swapped:
        found.append("swapped")
    if r.automatic_gain is not None or r.gain_step_db:
        found.append("gain_changes")
    if r.drop_outs:
        found.append("drop_out")
    if r.missing:
        found.append("missing_samples")
    if r.declared_rate_hz not in (None, r.rate_hz):
        found.append("wrong_sample_rate")
    if spec.deck.turns_per_minute(spec.disc.rated_rpm) != spec.disc.rated_rpm:
        found.append("wrong_speed")
    return tuple(found)
