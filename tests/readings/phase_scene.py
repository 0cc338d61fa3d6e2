"""Phase tracks of played test tones, written out by hand, and what an exact reading of them would say.

Lines and drift are closed forms; the filters of the truth are built here from scipy alone, at four times the rate of
the phase view, from the numbers of the readings contract. Nothing here uses the package's simulation or its filters.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy import signal as scipy_signal

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.method import Method, Observation, Outcome, Stretch
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side

RATE_HZ = 2000.0
FINE = 4
RPM = 100.0 / 3.0


@dataclass(frozen=True)
class Played:
    """One played tone: the phase view and the deviation that is in it, at the fine rate, from the mean of turn one."""

    view: np.ndarray
    carrier_hz: float
    nominal_hz: float
    seconds: float
    rpm: float
    deviation: np.ndarray = field(repr=False)
    start_s: float = 0.0


def played(
    seconds: float,
    lines: Sequence[tuple[float, float, float]] = (),
    *,
    speed: float = 0.004,
    drift_per_s: float = 0.0,
    noise_rad: float = 0.0,
    random_flutter: tuple[float, float, float] | None = None,
    ticks: int = 0,
    level_sway: float = 0.0,
    rate_hz: float = RATE_HZ,
    nominal_hz: float = 3150.0,
    rpm: float = RPM,
    rng: np.random.Generator | None = None,
) -> Played:
    """A tone at ``1 + speed`` of its nominal. ``lines``: (cycles per platter turn, peak, phase of the cosine at the
    middle); ``random_flutter``: (rms, low Hz, high Hz). All deviations are relative (1, not %)."""
    rng = rng or np.random.default_rng(1)
    fine_hz = rate_hz * FINE
    count = int(seconds * rate_hz) * FINE
    t = np.arange(count) / fine_hz
    middle = 0.5 * seconds
    turned = (1.0 + speed) * (t - middle) + 0.5 * drift_per_s * (t - middle) ** 2  # in seconds of the rated speed
    rate = (1.0 + speed) + drift_per_s * (t - middle)
    platter_rad = 2.0 * math.pi * rpm / 60.0 * turned
    extra, more = np.zeros(count), np.zeros(count)
    for turns, peak, phase in lines:
        extra += peak / turns * (np.sin(turns * platter_rad + phase)) / (2.0 * math.pi * rpm / 60.0)
        more += peak * np.cos(turns * platter_rad + phase)
    rate = rate * (1.0 + more)
    if random_flutter is not None:
        rms, low_hz, high_hz = random_flutter
        sections = scipy_signal.butter(2, [low_hz, high_hz], "bandpass", fs=fine_hz, output="sos")
        wandering = scipy_signal.sosfilt(sections, rng.standard_normal(count + int(20 * fine_hz)))[-count:]
        _, gain = scipy_signal.freqz_sos(sections, worN=1 << 15)
        wandering *= rms / math.sqrt(float(np.mean(np.abs(gain) ** 2)))
        rate = rate + wandering
        extra += np.concatenate([[0.0], np.cumsum(0.5 * (wandering[1:] + wandering[:-1]))]) / fine_hz
    turned = turned + extra
    first_turn = round(60.0 / rpm * fine_hz)
    first_mean = (turned[first_turn] - turned[0]) / (first_turn / fine_hz)
    mean = (turned[-1] - turned[0]) / ((count - 1) / fine_hz)
    carrier_hz = nominal_hz * (1.0 + speed) * (1.0 + 3e-5)
    rows = count // FINE
    time = t[::FINE]
    noise = noise_rad * rng.standard_normal((2, rows))
    view = np.empty((rows, 3))
    view[:, 0] = 2.0 * math.pi * (nominal_hz * turned[::FINE] - carrier_hz * time) + noise[0]
    view[:, 1] = noise[1] + level_sway * np.cos(2.0 * math.pi * rpm / 60.0 * time)
    view[:, 2] = 1.0
    for first in rng.integers(20, rows - 40, ticks):
        view[first : first + 14, 2] = 0.0
    good = np.flatnonzero(view[:, 2])
    for column in (0, 1):
        view[:, column] = np.interp(np.arange(rows), good, view[good, column])
    return Played(view, carrier_hz, nominal_hz, seconds, rpm, (rate - first_mean) / mean)


def heard(method: Method, tone: Played, *, side: Side | None = None, block: int = 2600) -> Outcome:
    """What a method concludes from one tone fed in blocks."""
    band = Band(
        0,
        tone.start_s,
        tone.start_s + tone.seconds,
        "tone",
        Levels(-10.0, -10.0),
        frequency_hz=tone.carrier_hz,
        nominal_hz=tone.nominal_hz,
    )
    side = side or Side(96_000.0, (band,), rpm=tone.rpm, main_band=0)
    assert method.wants(band, side)
    rate_hz = len(tone.view) / tone.seconds
    state = method.start(Stretch(band, round(rate_hz, 6), tone.start_s, tone.carrier_hz), side)
    for first in range(0, len(tone.view), block):
        state.feed(tone.view[first : first + block])
    seen = state.observe()
    return method.conclude([] if seen is None else [Observation(band, seen)], side, {})


def by_quantity(outcome: Outcome) -> Mapping[str, Reading]:
    return {reading.quantity: reading for reading in outcome.readings}


def exact_flutter(tone: Played) -> dict[str, float]:
    """Sizes in % by the definitions of the contract on the noise-free deviation, filters at 8 kHz by scipy."""
    fine_hz = RATE_HZ * FINE
    weighting = _digital(
        [0, 0, 0, -2 * math.pi * 31.9728],
        [
            complex(-2.265105, 1.642232),
            complex(-2.265105, -1.642232),
            -2 * math.pi * 1.428527,
            -2 * math.pi * 8.660898,
            -2 * math.pi * 43.868946,
        ],
        87.356616,
        fine_hz,
    )
    band = np.concatenate(
        [
            scipy_signal.butter(2, 0.2, "highpass", fs=fine_hz, output="sos"),
            scipy_signal.butter(2, 200.0, "lowpass", fs=fine_hz, output="sos"),
        ]
    )
    weighted = 100.0 * scipy_signal.sosfilt(weighting, tone.deviation)[int(3 * fine_hz) :]
    wide_all = 100.0 * scipy_signal.sosfilt(band, tone.deviation)
    wide = wide_all[int(5 * fine_hz) :]
    parts = {
        name: scipy_signal.sosfilt(scipy_signal.butter(4, 6.0, kind, fs=fine_hz, output="sos"), wide_all)
        for name, kind in (("wow", "lowpass"), ("flutter", "highpass"))
    }
    return {
        "wow_flutter_weighted": float(np.quantile(np.abs(weighted), 0.95)),
        "wow_flutter_weighted_rms": float(np.sqrt(np.mean(weighted**2))),
        "wow_flutter_unweighted": float(np.quantile(np.abs(wide), 0.95)),
        **{name: float(np.quantile(np.abs(part[int(5 * fine_hz) :]), 0.95)) for name, part in parts.items()},
    }


def _digital(zeros: Sequence[complex], poles: Sequence[complex], gain: float, rate_hz: float) -> np.ndarray:
    return np.asarray(
        scipy_signal.zpk2sos(*scipy_signal.bilinear_zpk(np.array(zeros), np.array(poles), gain, rate_hz))
    )
