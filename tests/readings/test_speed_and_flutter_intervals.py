"""Coverage: over random phase tracks the 95 % interval of every speed and flutter reading holds the truth.

Lines of platter, belt and motor, random flutter, drift, white noise of -75 to -40 dB, ticks and swaying level are
drawn. The truth of the flutter figures is the contract's filter on the noise-free deviation of the same stretch.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from phase_scene import RPM, Played, by_quantity, exact_flutter, heard, played

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.once_per_revolution import OncePerRevolution
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.readings.speed import Speed
from spindlewright.readings.wow_and_flutter import WowAndFlutter

DRAWN = frozenset({"disc", "clock"})  # exact here, so left out of the budgets


def one_deck(seed: int) -> list[tuple[str, bool]]:
    """(quantity, whether its interval holds the truth) of one random track."""
    rng = np.random.default_rng(seed)
    turn = 2.0 * np.pi

    def line(turns: float, low: float, high: float) -> tuple[float, float, float]:
        return (turns, 10.0 ** rng.uniform(low, high), rng.uniform(0.0, turn))

    lines = [line(1.0, -3.8, -2.5), line(2.0, -4.5, -3.3), line(3.0, -4.7, -3.7)]
    if rng.random() < 0.6:
        lines.append(line(rng.uniform(0.85, 0.95), -4.5, -3.3))
    lines += [line(rng.uniform(7.0, 110.0), -4.7, -3.5) for _ in range(rng.integers(0, 4))]
    speed, drift = rng.uniform(-0.02, 0.02), float(rng.choice([0.0, 3e-5 * rng.normal()]))
    seconds = round(rng.uniform(10.5, 32.0), 1)
    tone = played(
        seconds,
        lines,
        speed=speed,
        drift_per_s=drift,
        noise_rad=10.0 ** rng.uniform(-3.5, -1.7),
        random_flutter=(10.0 ** rng.uniform(-4.6, -3.3), rng.uniform(0.3, 1.5), rng.uniform(15.0, 80.0)),
        ticks=int(rng.poisson(rng.choice([0.0, 0.0, 0.3, 1.0]) * seconds)),
        level_sway=0.02,
        rng=rng,
    )
    truth = exact_flutter(tone) | {
        "speed_deviation": 100.0 * speed,
        "speed_drift": 6000.0 * drift,
        "once_per_revolution": 100.0 * lines[0][1],
    }
    band = Band(0, 0.0, seconds, "tone", Levels(-10.0, -10.0), tone.carrier_hz, tone.nominal_hz)
    side = Side(96_000.0, (band,), rpm=RPM, main_band=0, without_contributions=DRAWN)
    found = []
    for method in (Speed(), OncePerRevolution(), WowAndFlutter()):
        for quantity, reading in by_quantity(heard(method, tone, side=side)).items():
            if quantity in truth:
                found.append((quantity, abs(reading.value - truth[quantity]) <= reading.uncertainty))
    return found


@pytest.mark.slow
def test_intervals_hold_the_truth_in_95_of_100() -> None:
    held: dict[str, list[bool]] = {}
    for seed in range(50):
        for quantity, holds in one_deck(seed):
            held.setdefault(quantity, []).append(holds)
    shares = {quantity: float(np.mean(seen)) for quantity, seen in held.items()}
    assert len(shares) == 8
    # 50 draws at 95 % scatter by 3 %: less than 86 % is three of those below. Without doubt about where the stretch
    # begins and ends readings are better than stated, so the upper side is left to the benchmark on whole recordings.
    assert min(shares.values()) >= 0.86, shares


def test_doubt_about_the_ends_of_a_quasi_peak_reading_is_what_moved_ends_do() -> None:
    """Each end moved by up to 0.1 s: the readings then scatter by the budget line, found here by moving the ends."""
    rng = np.random.default_rng(3)
    quantity, rate_hz = "wow_flutter_weighted_quasi_peak", 2000
    moved, stated = [], []
    for seed in range(12):
        lines = [(1.0, 4e-4, 0.5 * seed), (0.9, 3e-4, 1.7 * seed)]
        flutter = (4e-4, 0.5, 30.0)
        tone = played(15.4, lines, random_flutter=flutter, rng=np.random.default_rng(seed))

        def read(start: int, stop: int, tone: Played = tone) -> Reading:
            rows = tone.view[start:stop]
            part = replace(tone, view=rows, seconds=len(rows) / rate_hz)
            return by_quantity(heard(WowAndFlutter(), part))[quantity]

        middle = read(400, len(tone.view) - 400)
        stated.append(next(c.standard_uncertainty for c in middle.budget if c.name == "ends") / middle.value)
        for _ in range(3):
            first, last = (400 + round(rng.uniform(-0.1, 0.1) * rate_hz) for _ in range(2))
            moved.append(read(first, len(tone.view) - last).value / middle.value - 1.0)
    # 36 moves of 12 decks: the ratio is known to some 15 %
    assert np.sqrt(np.mean(np.square(moved))) / np.sqrt(np.mean(np.square(stated))) == pytest.approx(1.0, abs=0.4), (
        moved,
        stated,
    )
