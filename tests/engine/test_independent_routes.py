"""The readings against other ways to the same numbers: scipy's Hilbert transform and plain FFTs over whole bands.

No module of the package takes part in the other way. The side is known in closed form, which is a third witness.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import soundfile
from made_side import (
    HUM,
    LEAK_LEFT_TO_RIGHT,
    LEAK_RIGHT_TO_LEFT,
    LEFT_PEAK,
    MAINS_HZ,
    RIGHT_PEAK,
    SPEED_PERCENT,
    TURN_HZ,
    Plan,
    deviation_percent,
    made_side,
)
from scipy import signal as scipy_signal

from spindlewright.measure import measure
from spindlewright.measurement import Measurement
from spindlewright.readings.reading import Reading

RATE_HZ = 24000
PLAN = Plan(tone_s=20.0)
SETTLING_S = 3.0
UNWEIGHTED_SETTLING_S = 5.0


@pytest.fixture(scope="module")
def sound() -> np.ndarray:
    return made_side(RATE_HZ, PLAN)


@pytest.fixture(scope="module")
def side(sound: np.ndarray, tmp_path_factory: pytest.TempPathFactory) -> Measurement:
    path = Path(tmp_path_factory.mktemp("side")) / "side.wav"
    soundfile.write(path, sound.astype(np.float32), RATE_HZ, subtype="FLOAT")
    return measure(path)


def reading(side: Measurement, quantity: str, channel: str | None = None) -> Reading:
    """The reading of a quantity, of the first band where there are several."""
    return next(r for r in side.readings if r.quantity == quantity and r.channel == channel)


def cut_out(sound: np.ndarray, kind: str, seconds: float, margin_s: float = 0.1) -> np.ndarray:
    first = round((PLAN.start_s(kind) + margin_s) * RATE_HZ)
    return sound[first : first + round((seconds - 2.0 * margin_s) * RATE_HZ)]


# Hilbert route: speed and flutter


@pytest.fixture(scope="module")
def hilbert_deviation(sound: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Times after the start of the tone and the speed deviation in %, band-passed ±600 Hz, by scipy alone."""
    tone = cut_out(sound, "tone", PLAN.tone_s).sum(axis=1)
    sections = scipy_signal.butter(4, [2550.0, 3750.0], "bandpass", fs=RATE_HZ, output="sos")
    phase = np.unwrap(np.angle(scipy_signal.hilbert(scipy_signal.sosfiltfilt(sections, tone))))
    frequency_hz = np.gradient(phase) * RATE_HZ / (2.0 * np.pi)
    t = np.arange(len(tone)) / RATE_HZ + 0.1
    return t, 100.0 * (frequency_hz / 3150.0 - 1.0)


def weighting(f: np.ndarray) -> np.ndarray:
    """H(s) as the reference page 1.3 prints it, typed here."""
    s = 2j * np.pi * f
    w0, q = 2 * np.pi * 0.445282, 0.617585
    bottom = (s**2 + s * w0 / q + w0**2) * (s + 2 * np.pi * 1.428527) * (s + 2 * np.pi * 8.660898)
    return 87.356616 * s**3 * (s + 2 * np.pi * 31.9728) / (bottom * (s + 2 * np.pi * 43.868946))


def butterworth_band(f: np.ndarray) -> np.ndarray:
    """Second order each side, 0.2 to 200 Hz."""
    high = scipy_signal.freqs(*scipy_signal.butter(2, 2 * np.pi * 0.2, "high", analog=True), 2 * np.pi * f)[1]
    low = scipy_signal.freqs(*scipy_signal.butter(2, 2 * np.pi * 200.0, "low", analog=True), 2 * np.pi * f)[1]
    return np.asarray(high * low)


def filtered(deviation: np.ndarray, response: object) -> np.ndarray:
    """By FFT with zeros behind, started at the mean of the first turn as the contract says."""
    turn = round(RATE_HZ / TURN_HZ)
    x = deviation - deviation[:turn].mean()
    size = 2 ** math.ceil(math.log2(len(x) + 40 * RATE_HZ))
    spectrum = np.fft.rfft(x, size) * response(np.fft.rfftfreq(size, 1.0 / RATE_HZ))  # type: ignore[operator]
    return np.fft.irfft(spectrum, size)[: len(x)]


def two_sigma(values: np.ndarray, settling_s: float) -> float:
    return float(np.quantile(np.abs(values[round(settling_s * RATE_HZ) : -round(0.2 * RATE_HZ)]), 0.95))


def test_hilbert_route_sees_the_closed_form(hilbert_deviation: tuple[np.ndarray, np.ndarray]) -> None:
    t, deviation = hilbert_deviation
    inner = slice(2 * RATE_HZ, -2 * RATE_HZ)
    slow = np.fft.irfft(np.fft.rfft(deviation) * (np.fft.rfftfreq(len(deviation), 1 / RATE_HZ) < 60.0), len(deviation))
    np.testing.assert_allclose(slow[inner], deviation_percent(t)[inner], atol=3e-3)


def test_speed_by_hilbert_phase(side: Measurement, sound: np.ndarray) -> None:
    tone = cut_out(sound, "tone", PLAN.tone_s).sum(axis=1)
    phase = np.unwrap(np.angle(scipy_signal.hilbert(tone)))
    t = (np.arange(len(phase)) - len(phase) / 2.0) / RATE_HZ
    keep = slice(200, -200)
    columns = [np.ones_like(t), t, t**2]
    for f in (TURN_HZ, 4.0, 9.3, 31.0):
        columns += [np.cos(2 * np.pi * f * t), np.sin(2 * np.pi * f * t)]
    fit = np.linalg.lstsq(np.column_stack(columns)[keep], phase[keep], rcond=None)[0]
    by_hilbert = 100.0 * (fit[1] / (2 * np.pi * 3150.0) - 1.0)
    assert by_hilbert == pytest.approx(SPEED_PERCENT, abs=2e-5)
    assert reading(side, "speed_deviation").value == pytest.approx(by_hilbert, abs=0.001)
    once = 100.0 * np.hypot(fit[3], fit[4]) * TURN_HZ / 3150.0
    assert once == pytest.approx(0.08, abs=1e-4)
    assert reading(side, "once_per_revolution").value == pytest.approx(once, rel=0.01)


@pytest.mark.parametrize(
    ("quantity", "response", "settling_s"),
    [
        ("wow_flutter_weighted", weighting, SETTLING_S),
        ("wow_flutter_unweighted", butterworth_band, UNWEIGHTED_SETTLING_S),
    ],
)
def test_flutter_by_hilbert(
    quantity: str,
    response: object,
    settling_s: float,
    side: Measurement,
    hilbert_deviation: tuple[np.ndarray, np.ndarray],
) -> None:
    expected = two_sigma(filtered(hilbert_deviation[1], response), settling_s)
    assert reading(side, quantity).value == pytest.approx(expected, rel=0.01)


def test_weighted_rms_by_hilbert_and_by_parseval(
    side: Measurement, hilbert_deviation: tuple[np.ndarray, np.ndarray]
) -> None:
    weighted = filtered(hilbert_deviation[1], weighting)[round(SETTLING_S * RATE_HZ) :]
    found = reading(side, "wow_flutter_weighted_rms").value
    assert found == pytest.approx(float(weighted.std()), rel=0.01)
    lines = ((TURN_HZ, 0.08), (4.0, 0.05), (9.3, 0.03), (31.0, 0.02))
    power = sum(0.5 * (peak * abs(weighting(np.array([f]))[0])) ** 2 for f, peak in lines)
    assert found == pytest.approx(math.sqrt(power), rel=0.01)


# FFT routes: channels


def around_tone(sound: np.ndarray, kind: str) -> tuple[np.ndarray, np.ndarray]:
    """Spectra of left and right within ±15 Hz of the tone (wow keeps its power there), Hann window."""
    part = cut_out(sound, kind, PLAN.single_s)
    spectrum = np.fft.rfft(part * np.hanning(len(part))[:, None], axis=0)
    f = np.fft.rfftfreq(len(part), 1.0 / RATE_HZ)
    near = np.abs(f - 996.0) < 15.0
    return spectrum[near, 0], spectrum[near, 1]


@pytest.mark.parametrize(
    ("kind", "quantity", "leak"),
    [
        ("left", "crosstalk_left_to_right", LEAK_LEFT_TO_RIGHT),
        ("right", "crosstalk_right_to_left", LEAK_RIGHT_TO_LEFT),
    ],
)
def test_crosstalk_by_fft(kind: str, quantity: str, leak: complex, side: Measurement, sound: np.ndarray) -> None:
    left, right = around_tone(sound, kind)
    driven, quiet = (left, right) if kind == "left" else (right, left)
    ratio = np.sum(quiet * driven.conj()) / np.sum(np.abs(driven) ** 2)
    assert abs(ratio - leak) < 2e-5
    found = reading(side, quantity)
    assert found.value == pytest.approx(20.0 * np.log10(abs(ratio)), abs=0.01)
    assert found.conditions["phase_deg"] == pytest.approx(np.degrees(np.angle(ratio)), abs=0.1)


def test_balance_by_fft(side: Measurement, sound: np.ndarray) -> None:
    own_left, own_right = around_tone(sound, "left")[0], around_tone(sound, "right")[1]
    balance_db = 10.0 * np.log10(np.sum(np.abs(own_left) ** 2) / np.sum(np.abs(own_right) ** 2))
    assert reading(side, "channel_balance").value == pytest.approx(balance_db, abs=0.002)
    assert balance_db == pytest.approx(20.0 * np.log10(LEFT_PEAK / RIGHT_PEAK), abs=0.002)


def test_reference_level_by_power(side: Measurement, sound: np.ndarray) -> None:
    for column, (kind, peak) in enumerate((("left", LEFT_PEAK), ("right", RIGHT_PEAK))):
        rms = float(np.sqrt(np.mean(cut_out(sound, kind, PLAN.single_s)[:, column] ** 2)))
        found = reading(side, "level_reference", kind).value
        assert found == pytest.approx(20.0 * np.log10(rms * math.sqrt(2.0)), abs=0.002)
        assert found == pytest.approx(20.0 * np.log10(peak), abs=0.001)


# FFT routes: the silent band


@pytest.fixture(scope="module")
def silent_spectrum(sound: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Frequencies and power per bin (n, 2) of the silent band, scaled to sum to the mean square; Hann window."""
    part = cut_out(sound, "silence", PLAN.silence_s, 0.3)
    window = np.hanning(len(part))[:, None]
    power = np.abs(np.fft.rfft(part * window, axis=0)) ** 2 * 2.0 / len(part) / np.sum(window**2)
    return np.fft.rfftfreq(len(part), 1.0 / RATE_HZ), power


def level_db(side: Measurement, mean_square: float, channel: str) -> float:
    """Mean square as level re the reference of that channel, in dB."""
    return 10.0 * math.log10(2.0 * mean_square) - reading(side, "level_reference", channel).value


@pytest.mark.parametrize(("column", "channel"), [(0, "left"), (1, "right")])
def test_hum_by_fft(
    column: int, channel: str, side: Measurement, silent_spectrum: tuple[np.ndarray, np.ndarray]
) -> None:
    f, power = silent_spectrum
    lines = {order: power[np.abs(f - order * MAINS_HZ) < 0.6, column].sum() for order in HUM}
    found = reading(side, "hum", channel)
    assert found.value == pytest.approx(level_db(side, sum(lines.values()), channel), abs=0.05)
    seen = {line["order"]: line["level_dbfs"] for line in found.conditions["lines"]}
    for order, mean_square in lines.items():
        assert seen[order] == pytest.approx(10.0 * math.log10(2.0 * mean_square), abs=0.25)
        assert seen[order] == pytest.approx(20.0 * math.log10(HUM[order][column]), abs=0.25)


def test_mains_frequency_by_fft(side: Measurement, sound: np.ndarray) -> None:
    """Phase step of the 50 Hz line between the two halves of the band."""
    left = cut_out(sound, "silence", PLAN.silence_s, 0.3)[:, 0]
    half = len(left) // 2
    mixed = np.exp(-2j * np.pi * 50.0 * np.arange(half) / RATE_HZ) * np.hanning(half)
    first, second = np.sum(left[:half] * mixed), np.sum(left[half : 2 * half] * mixed)
    step = np.angle(second / first * np.exp(-2j * np.pi * 50.0 * half / RATE_HZ))
    by_fft = 50.0 + step * RATE_HZ / (2.0 * np.pi * half)
    assert by_fft == pytest.approx(MAINS_HZ, abs=0.001)
    assert reading(side, "mains_frequency").value == pytest.approx(by_fft, abs=0.003)


def unweighted_rumble(f: np.ndarray) -> np.ndarray:
    high = scipy_signal.freqs(*scipy_signal.butter(2, 2 * np.pi * 10.0, "high", analog=True), 2 * np.pi * f)[1]
    low = scipy_signal.freqs(*scipy_signal.butter(4, 2 * np.pi * 500.0, "low", analog=True), 2 * np.pi * f)[1]
    return np.asarray(high * low)


def weighted_rumble(f: np.ndarray) -> np.ndarray:
    w0, s = 2.0 * np.pi * 315.0, 2j * np.pi * f
    return np.asarray((s * w0 / (s**2 + s * w0 + w0**2)) ** 2)


def a_weighting(f: np.ndarray) -> np.ndarray:
    f2 = f**2
    top = 12194.217**2 * f2**2 * 10.0**0.1
    bottom = (f2 + 20.598997**2) * np.sqrt((f2 + 107.65265**2) * (f2 + 737.86223**2)) * (f2 + 12194.217**2)
    return np.asarray(top / bottom)


@pytest.mark.parametrize(
    ("quantity", "response", "tolerance_db"),
    [
        ("rumble_unweighted", unweighted_rumble, 0.05),
        ("rumble_weighted", weighted_rumble, 0.1),
        ("surface_noise", a_weighting, 0.1),
    ],
)
@pytest.mark.parametrize(("column", "channel"), [(0, "left"), (1, "right")])
def test_noise_by_fft(
    quantity: str,
    response: object,
    tolerance_db: float,
    column: int,
    channel: str,
    side: Measurement,
    silent_spectrum: tuple[np.ndarray, np.ndarray],
) -> None:
    f, power = silent_spectrum
    found = reading(side, quantity, channel)
    heard = f <= found.conditions.get("upper_hz", math.inf)
    mean_square = float(np.sum((power[:, column] * np.abs(response(f)) ** 2)[heard]))  # type: ignore[operator]
    assert found.value == pytest.approx(level_db(side, mean_square, channel), abs=tolerance_db)
