"""Coverage: over random decks the 95 % interval of every channel reading holds the truth 92 to 98 % of the time.

The truth is that of the hand-written mixing matrix; noise of -30 to -70 dB (a third of it common to both channels),
ticks, wow and leaks down to -45 dB are drawn.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from carrier_scene import bands_of, baseband, outputs

from spindlewright.readings.azimuth import Azimuth
from spindlewright.readings.channel_balance import ChannelBalance
from spindlewright.readings.channel_pair import ChannelPairState, Leak
from spindlewright.readings.crosstalk import Crosstalk
from spindlewright.readings.leak_size import leak_size
from spindlewright.readings.level_reference import LevelReference
from spindlewright.readings.method import Observation
from spindlewright.readings.side import Side

KINDS = ("left", "right", "tone")


def db(size: complex) -> float:
    return 20.0 * math.log10(abs(size))


def one_deck(rng: np.random.Generator) -> list[tuple[str, bool, bool]]:
    """(quantity, whether it is a bound, whether it holds) of one random deck."""
    tilt = rng.uniform(-4.0, 4.0)
    coils = 10 ** (rng.uniform(-45, -20) / 20) * np.exp(1j * rng.choice([0.0, math.pi, rng.uniform(0.0, 6.0)]))
    balance = rng.uniform(-2.0, 2.0)
    m = outputs(tilt, coils, balance, rng.uniform(-8.0, 8.0))
    seconds = rng.uniform(3.0, 12.0)
    more = {
        "noise_db": -rng.uniform(30.0, 70.0),
        "wow": rng.uniform(0.0, 0.003),
        "ticks_per_minute": float(rng.choice([0.0, 0.0, 60.0, 200.0])),
    }
    views = [baseband(m, kind, seconds, rng, **more) for kind in KINDS]
    truth = {
        ("channel_balance", None): balance,
        ("crosstalk_left_to_right", None): db(m[1, 0] / m[0, 0]),
        ("crosstalk_right_to_left", None): db(m[0, 1] / m[1, 1]),
        ("azimuth_error", None): tilt,
        ("symmetric_crosstalk", None): db(coils / math.cos(math.radians(tilt))),
        ("level_reference", "left"): db(0.3 * m[0, 0]),
        ("level_reference", "right"): db(0.3 * m[1, 1]),
    }
    bands = bands_of(KINDS, seconds)
    side = Side(96_000.0, bands, polarity="known")
    seen = []
    for band, view in zip(bands, views, strict=True):
        state = ChannelPairState(2000.0, side.platter_rate_hz)  # the four methods listen alike
        state.feed(view)
        seen.append(Observation(band, state.observe()))
    found = []
    for method in (ChannelBalance(), Crosstalk(), Azimuth(), LevelReference()):
        wanted = [o for o in seen if method.wants(o.band, side)]
        for r in method.conclude(wanted, side, {}).readings:
            true = truth[(r.quantity, r.channel)]
            bound = bool(r.conditions.get("below_noise"))
            found.append((r.quantity, bound, true <= r.value if bound else abs(r.value - true) <= r.uncertainty))
    return found


@pytest.mark.slow
def test_intervals_hold_the_truth() -> None:
    rng = np.random.default_rng(2024)
    seen: dict[str, list[bool]] = {}
    for _ in range(320):
        for quantity, bound, holds in one_deck(rng):
            if not bound:
                seen.setdefault(quantity, []).append(holds)
    assert len(seen) == 6
    for quantity, holds in seen.items():
        share = sum(holds) / len(holds)
        assert len(holds) >= 300, quantity
        # 92 to 98 % as the issue says; 320 draws scatter by 1.2 % themselves.
        assert 0.92 <= share <= 0.98, (quantity, share)


@pytest.mark.parametrize("ratio", [3.5, 5.0, 8.0, 11.0, 14.0, 30.0])
def test_leak_size_interval_near_the_noise(ratio: float) -> None:
    rng = np.random.default_rng(int(10 * ratio))
    held = []
    for _ in range(1500):
        seen = leak_size(
            Leak(complex(ratio + rng.standard_normal(), rng.standard_normal()), ((1.0, 0.0), (0.0, 1.0))), 1.0
        )
        if not seen.below_noise:
            held.append(abs(seen.value_db - db(ratio)) <= 1.96 * seen.standard_uncertainty_db)
    # Nearest the noise only the larger of what was drawn are seen at all, so a little more is held.
    assert 0.92 <= sum(held) / len(held) <= 0.99


@pytest.mark.parametrize("ratio", [0.01, 1.0, 2.5])
def test_upper_bound_holds_at_least_95_of_100(ratio: float) -> None:
    rng = np.random.default_rng(5)
    held = []
    for _ in range(1500):
        seen = leak_size(
            Leak(complex(ratio + rng.standard_normal(), rng.standard_normal()), ((1.0, 0.0), (0.0, 1.0))), 1.0
        )
        if seen.below_noise:
            held.append(seen.value_db >= db(ratio))
            assert seen.standard_uncertainty_db > 0.0
    assert sum(held) / len(held) >= 0.94
