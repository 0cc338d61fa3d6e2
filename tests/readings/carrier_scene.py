"""Two-channel test tones for the channel readings, as baseband view and as sound, mixed by hand.

Nothing here uses the package's own simulation; the contract's model L' = c·l + s·r, R' = −s·l + c·r, then coils, then
gains, is written out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from spindlewright.bands.band import Band, LayoutBand, Levels
from spindlewright.readings.channel_pair import ChannelPairState
from spindlewright.readings.listener import Listener
from spindlewright.readings.method import Observation, Outcome, Stretch
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side

DRIVE = {"left": (1.0, 0.0), "right": (0.0, 1.0), "tone": (1.0, 1.0), "vertical": (1.0, -1.0)}

PACE_EXPONENT = 0.61
"""A groove gives more the faster it passes (exponent 1), and at 1 kHz the replay curve takes part of it back:
-0.349 dB from 900 to 1000 Hz, -0.744 dB on to 1250 Hz (published values 4), which is an exponent of -0.38 to -0.39."""


def outputs(
    tilt_deg: float = 0.0, coils: complex = 0.0, balance_db: float = 0.0, right_lag_deg: float = 0.0
) -> np.ndarray:
    """Matrix from groove walls (left, right) to outputs (left, right)."""
    c, s = math.cos(math.radians(tilt_deg)), math.sin(math.radians(tilt_deg))
    lean = np.array([[c, s], [-s, c]], complex)
    leak = np.array([[0.0, coils], [coils, 0.0]])
    gain = np.diag([10.0 ** (balance_db / 40.0), 10.0 ** (-balance_db / 40.0)]).astype(complex)
    gain[1, 1] *= np.exp(-1j * math.radians(right_lag_deg))
    return np.asarray(gain @ (lean + leak))


def bands_of(
    kinds: Sequence[str], seconds: float, nominal_hz: float = 1000.0, cuts: Sequence[LayoutBand | None] | None = None
) -> tuple[Band, ...]:
    """Bands one after another, ten seconds apart."""
    step = seconds + 10.0
    return tuple(
        Band(
            i,
            step * i,
            step * i + seconds,
            kind,  # type: ignore[arg-type]
            Levels(-12.0, -12.0),
            nominal_hz,
            nominal_hz,
            cut=cuts[i] if cuts else None,
        )
        for i, kind in enumerate(kinds)
    )


def wow_phase(t: np.ndarray, carrier_hz: float, wow: float, rng: np.random.Generator) -> np.ndarray:
    """Phase of a tone whose rate swings by ``wow`` once per turn at 33 1/3 and a tenth of it at 5.3 Hz."""
    turn = 1.0 / 1.8
    start = rng.uniform(0.0, 2.0 * np.pi, 3)
    return np.asarray(
        start[0]
        + carrier_hz * wow / turn * np.sin(2 * np.pi * turn * t + start[1])
        + carrier_hz * wow * 0.1 / 5.3 * np.sin(2 * np.pi * 5.3 * t + start[2])
    )


def baseband(
    matrix: np.ndarray,
    kind: str,
    seconds: float,
    rng: np.random.Generator,
    *,
    amplitude: float = 0.3,
    noise_db: float = -60.0,
    common_noise: float = 0.3,
    wow: float = 0.001,
    ticks_per_minute: float = 0.0,
    carrier_hz: float = 1000.0,
    rate_hz: float = 2000.0,
) -> np.ndarray:
    """The ``carrier`` view of one band; ``noise_db``: power re the tone, the share ``common_noise`` in both."""
    n = int(seconds * rate_hz)
    t = np.arange(n) / rate_hz
    phase = wow_phase(t, carrier_hz, wow, rng)
    pace = 1.0 + np.gradient(phase) * rate_hz / (2.0 * np.pi * carrier_hz)
    tone = pace**PACE_EXPONENT * np.exp(1j * phase)
    z = amplitude * tone[:, None] * (matrix @ np.array(DRIVE[kind]))[None, :]

    def noise(*shape: int) -> np.ndarray:
        pair = rng.standard_normal(shape) + 1j * rng.standard_normal(shape)
        return np.asarray(amplitude * 10.0 ** (noise_db / 20.0) * math.sqrt(0.5) * pair)

    z += math.sqrt(1.0 - common_noise) * noise(n, 2) + math.sqrt(common_noise) * noise(n, 1)
    for at in rng.integers(0, n - 2, rng.poisson(ticks_per_minute * seconds / 60.0)):
        z[at : at + 2] += rng.normal(0.0, 0.15, 2) * np.exp(1j * rng.uniform(0.0, 2.0 * np.pi))
    return np.asarray(z)


def concluded(
    method: Any,
    bands: Sequence[Band],
    views: Sequence[np.ndarray],
    *,
    rate_hz: float = 2000.0,
    earlier: dict[str, list[Reading]] | None = None,
    **side: Any,
) -> Outcome:
    """What ``method`` concludes when it is fed these baseband views."""
    facts = Side(96_000.0, tuple(bands), **side)
    seen = []
    for band, view in zip(bands, views, strict=True):
        if method.wants(band, facts):
            state: ChannelPairState = method.start(Stretch(band, rate_hz, band.start_s, band.frequency_hz), facts)
            state.feed(view)
            data = state.observe()
            if data is not None:
                seen.append(Observation(band, data))
    return method.conclude(seen, facts, earlier or {})  # type: ignore[no-any-return]


def sound(
    matrix: np.ndarray,
    kind: str,
    seconds: float,
    rng: np.random.Generator,
    *,
    rate_hz: float = 48_000.0,
    tone_hz: float = 1000.0,
    amplitude: float = 0.3,
    noise_dbfs: float = -70.0,
    wow: float = 0.001,
    hum: Sequence[tuple[float, float]] = (),
    ticks_per_minute: float = 0.0,
) -> np.ndarray:
    """The same as sound, float32 (n, 2); ``hum``: (Hz, dBFS) in both channels; ticks of 0.4 ms."""
    n = int(seconds * rate_hz)
    t = np.arange(n) / rate_hz
    phase = 2 * np.pi * tone_hz * t + wow_phase(t, tone_hz, wow, rng)
    driven = matrix @ np.array(DRIVE[kind])
    x = amplitude * np.abs(driven)[None, :] * np.cos(phase[:, None] + np.angle(driven)[None, :])
    x += 10.0 ** (noise_dbfs / 20.0) * math.sqrt(0.5) * rng.standard_normal((n, 2))
    for hum_hz, level in hum:
        x += 10.0 ** (level / 20.0) * np.cos(2 * np.pi * hum_hz * t + rng.uniform(0, 6.28))[:, None]
    long = max(2, int(4e-4 * rate_hz))
    for at in rng.integers(0, n - long, rng.poisson(ticks_per_minute * seconds / 60.0)):
        x[at : at + long] += rng.normal(0.0, 0.3) * np.hanning(long)[:, None] * rng.choice([-1.0, 1.0], 2)
    return x.astype(np.float32)


def listened(
    methods: Sequence[Any],
    bands: Sequence[Band],
    sounds: Sequence[np.ndarray],
    *,
    rate_hz: float = 48_000.0,
    block: int | None = None,
    **side: Any,
) -> dict[str, list[Reading]]:
    """Readings by quantity of all ``methods`` over sounds that go through the real listener."""
    facts = Side(rate_hz, tuple(bands), **side)
    seen: dict[str, list[Observation]] = {m.name: [] for m in methods}
    for band, heard in zip(bands, sounds, strict=True):
        listener = Listener(band, facts, methods, band.start_s)
        for at in range(0, len(heard), block or len(heard)):
            listener.feed(heard[at : at + (block or len(heard))])
        for method, observation in listener.finish():
            seen[method.name].append(observation)
    found: dict[str, list[Reading]] = {}
    for method in methods:
        for reading in method.conclude(seen[method.name], facts, found).readings:
            found.setdefault(reading.quantity, []).append(reading)
    return found
