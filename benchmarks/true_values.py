"""What a perfect reading of a simulated side would say, quantity by quantity.

Flutter is counted by scipy alone: the defined filters on the noise-free deviation of the same stretch, the detector by
``numpy.quantile``; only the quasi-peak detector is the product's own (proved in the conformance tests).
"""

from __future__ import annotations

import math

import numpy as np
from scipy import signal

from spindlewright.bands.band import Band
from spindlewright.signal import flutter_filters
from spindlewright.signal.quasi_peak import QuasiPeakDetector
from spindlewright.simulate.render import Performance
from spindlewright.simulate.truth import TrueBand, Truth
from spindlewright.standards.iec_60098_2020 import riaa_replay_db
from spindlewright.standards.iec_61672_1_2013 import a_weighting_response

TRUE_KEY = tuple[str, str | None]


def true_values(noise_free: Performance, truth: Truth, bands: tuple[Band, ...]) -> dict[TRUE_KEY, float]:
    """True value by (quantity, channel) of the first tone, the left, the right and the silent band.

    ``noise_free`` is the same side with every source of noise switched off.
    """
    main, left, right = truth.bands[0], truth.bands[1], truth.bands[2]
    found = {band.index: band for band in bands}
    values: dict[TRUE_KEY, float] = {
        ("speed_deviation", None): main.deck_speed_percent,
        ("rotation_rate", None): main.deck_rotation_rpm,
        ("speed_drift", None): truth.drift_percent_per_min,
        ("once_per_revolution", None): _once_per_revolution(truth, main),
        ("mains_frequency", None): truth.mains_hz,
    }
    values.update(_flutter(truth, main, found[0]))
    values[("channel_balance", None)] = left.left_dbfs - right.right_dbfs
    values[("crosstalk_left_to_right", None)] = left.crosstalk.left_to_right_db
    values[("crosstalk_right_to_left", None)] = right.crosstalk.right_to_left_db
    tilt_deg, symmetric_db = _tilt_and_symmetric(left, right)
    values[("azimuth_error", None)], values[("symmetric_crosstalk", None)] = tilt_deg, symmetric_db
    values[("level_reference", "left")] = _level_dbfs(noise_free, found[1], 0)
    values[("level_reference", "right")] = _level_dbfs(noise_free, found[2], 1)
    # Levels of quiet bands are told re 10 cm/s peak at 1 kHz in the direction read: 6.02 dB over 5 cm/s per wall.
    ten_db = 20.0 * math.log10(2.0)
    for channel, own_played, band in (("left", left.left_dbfs, left), ("right", right.right_dbfs, right)):
        own = own_played - _gain_by_speed_db(1000.0, band.heard_speed_percent)
        power = sum(10.0 ** (getattr(line, f"{channel}_dbfs") / 10.0) for line in truth.hum)
        values[("hum", channel)] = 10.0 * math.log10(power) - own - ten_db
        weight = [float(abs(a_weighting_response(line.frequency_hz))) for line in truth.hum]
        heard = sum(
            w**2 * 10.0 ** ((getattr(line, f"{channel}_dbfs") - own) / 10.0)
            for w, line in zip(weight, truth.hum, strict=True)
        )
        groove = 10.0 ** (getattr(truth.noise, f"surface_noise_{channel}_db") / 10.0)
        values[("surface_noise", channel)] = 10.0 * math.log10(heard + groove) - ten_db
    for name in ("rumble_unweighted", "rumble_weighted"):
        for channel, level in getattr(truth.noise, name).items():
            values[(name, channel)] = level.everything
    return values


def _level_dbfs(noise_free: Performance, band: Band, channel: int) -> float:
    """Level of the tone in the middle of the band, from the noise-free samples."""
    first, last = (round(at_s * noise_free.rate_hz) for at_s in (band.start_s + 0.1, band.end_s - 0.1))
    return float(10.0 * np.log10(2.0 * np.mean(noise_free.samples[first:last, channel].astype(float) ** 2)))


def _gain_by_speed_db(hz: float, percent: float) -> float:
    """What a speed error does to the level of a tone: more velocity, and another place on the replay curve."""
    pace = 1.0 + percent / 100.0
    return float(20.0 * math.log10(pace) + riaa_replay_db(hz * pace) - riaa_replay_db(hz))


def _tilt_and_symmetric(left: TrueBand, right: TrueBand) -> tuple[float, float]:
    """Azimuth error in degrees and symmetric crosstalk in dB by the contract's formulas, from the true leaks."""

    def ratio(db: float, phase_deg: float) -> complex:
        return complex(10.0 ** (db / 20.0) * np.exp(1j * math.radians(phase_deg)))

    x_lr = ratio(left.crosstalk.left_to_right_db, left.crosstalk.left_to_right_phase_deg)
    x_rl = ratio(right.crosstalk.right_to_left_db, right.crosstalk.right_to_left_phase_deg)
    g = 10.0 ** ((left.left_dbfs - right.right_dbfs) / 20.0)
    tilt = math.atan((x_rl.real / g - g * x_lr.real) / 2.0)
    return math.degrees(tilt), 20.0 * math.log10(abs((x_rl / g + g * x_lr) / 2.0))


def _flutter(truth: Truth, cut: TrueBand, band: Band) -> dict[TRUE_KEY, float]:
    heard = truth.deviation(max(cut.start_s, band.start_s), min(cut.end_s, band.end_s))
    rate_hz, percent = heard.rate_hz, heard.heard_percent
    first_turn = percent[: round(1.8 * rate_hz)].mean()
    deviation = (percent - first_turn) / (1.0 + percent.mean() / 100.0)

    def filtered(analogue: flutter_filters.Analogue, sound: np.ndarray) -> np.ndarray:
        digital = signal.bilinear_zpk(analogue.zeros, analogue.poles, analogue.gain, rate_hz)
        return np.asarray(signal.sosfilt(signal.zpk2sos(*digital), sound))

    def exceeded_5_percent(sound: np.ndarray, settle_s: float) -> float:
        return float(np.quantile(np.abs(sound[round(settle_s * rate_hz) :]), 0.95))

    weighted = filtered(flutter_filters.weighting(), deviation)
    unweighted = filtered(flutter_filters.unweighted(), deviation)
    settled = weighted[round(3.0 * rate_hz) :]
    return {
        ("wow_flutter_weighted", None): exceeded_5_percent(weighted, 3.0),
        ("wow_flutter_weighted_rms", None): float(np.sqrt(np.mean(settled**2))),
        ("wow_flutter_weighted_quasi_peak", None): float(
            QuasiPeakDetector(rate_hz).feed(weighted)[round(3.0 * rate_hz) :].mean()
        ),
        ("wow_flutter_unweighted", None): exceeded_5_percent(unweighted, 5.0),
        ("wow", None): exceeded_5_percent(filtered(flutter_filters.butterworth(4, 6.0, "lowpass"), unweighted), 5.0),
        ("flutter", None): exceeded_5_percent(
            filtered(flutter_filters.butterworth(4, 6.0, "highpass"), unweighted), 5.0
        ),
    }


def _once_per_revolution(truth: Truth, cut: TrueBand) -> float:
    """Peak of the line at the platter's rate: what the platter itself makes and the disc's centre, as phasors.

    Fitted to the noise-free phase together with trend, two harmonics and every other line put in, so that no
    neighbour leaks into it.
    """
    heard = truth.deviation(cut.start_s, cut.end_s)
    every = slice(None, None, 40)
    angle = (heard.platter_angle_rad - heard.platter_angle_rad[0])[every]
    time_s = np.arange(len(heard.platter_angle_rad))[every] / heard.rate_hz
    turn_s = 2.0 * np.pi * time_s[-1] / angle[-1]
    u = 2.0 * time_s / time_s[-1] - 1.0
    columns = [u**power for power in range(4)]
    columns += [wave(k * angle) for k in (1, 2, 3) for wave in (np.cos, np.sin)]
    for line in truth.lines:
        if line.maker != "platter":
            columns += [wave(line.rate_hz * turn_s * angle) for wave in (np.cos, np.sin)]
    fitted = np.linalg.lstsq(np.stack(columns, axis=1), heard.groove_time_s[every], rcond=None)[0]
    mean = 1.0 + heard.heard_percent.mean() / 100.0
    return float(100.0 * 2.0 * np.pi / turn_s * math.hypot(fitted[4], fitted[5]) / mean)
