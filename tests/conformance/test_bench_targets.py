"""Targets of the repair trade by kind of drive.

Source: trade practice 1.8 (common practice, no source); values typed here from the page.
"""

import pytest

from spindlewright.standards.limits import find_limits

SPEED = {"quartz-direct": 0.05, "servo": 0.2, "belt": 0.3, "idler": 0.5, "changer": 1.0}


@pytest.mark.parametrize(("kind", "percent"), SPEED.items())
def test_speed_by_drive(kind: str, percent: float) -> None:
    limit = find_limits(f"bench-{kind}").limits["speed_deviation"]
    assert (limit.low, limit.high) == (-percent, percent)


@pytest.mark.parametrize("kind", SPEED)
def test_targets_of_every_drive(kind: str) -> None:
    """Flutter sound to 0.2 %; drift a fault beyond 0.3 % in 20 min (0.015 %/min); 2 dB; 20 dB; 2°; 7 to 12 Hz; 2 Ω."""
    limits = find_limits(f"bench-{kind}").limits
    assert limits["wow_flutter_weighted"].high == 0.2
    assert limits["speed_drift"].high == pytest.approx(0.3 / 20.0)
    assert limits["speed_drift"].low == pytest.approx(-0.3 / 20.0)
    assert limits["channel_balance"].high == 2.0
    assert limits["crosstalk_right_to_left"].high == -20.0
    assert (limits["azimuth_error"].low, limits["azimuth_error"].high) == (-2.0, 2.0)
    assert (limits["arm_resonance_lateral"].low, limits["arm_resonance_lateral"].high) == (7.0, 12.0)
    assert limits["arm_to_lead_resistance"].high == 2.0


def test_every_target_says_that_it_is_practice() -> None:
    for kind in SPEED:
        for limit in find_limits(f"bench-{kind}").limits.values():
            assert "common practice, no source" in limit.source
