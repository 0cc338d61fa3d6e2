"""Limits and verdicts put onto readings, and what a fitness stop takes away."""

from __future__ import annotations

import pytest

from spindlewright.bands.band import Band, Levels
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.fitness_effects import chain_findings, spared
from spindlewright.readings.reading import Limit, Reading
from spindlewright.readings.side import Side
from spindlewright.readings.verdicts import MEASURE_THE_DISC, judged
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular
from spindlewright.standards.limits import LimitSet

LIMITS = LimitSet(
    "t", "test", "test", {"speed_deviation": Limit(-0.3, 0.3, "test"), "hum": Limit(None, -60.0, "test")}
)
SIDE = Side(48000.0, (Band(0, 0.0, 9.0, "silence", Levels(-60.0, -60.0)),))


def _speed(value: float, *budget: Contribution) -> Reading:
    return Reading("speed_deviation", value, "%", coverage_half_width(budget), budget, "m", "s", band=0)


@pytest.mark.parametrize(
    ("value", "verdict"), [(0.1, "within"), (-0.1, "within"), (0.25, "undecided"), (0.5, "outside"), (-0.5, "outside")]
)
def test_verdict_is_guarded_by_the_interval(value: float, verdict: str) -> None:
    """JCGM 106: the half-width of ±0.1 % rectangular is 0.095 %, so 0.25 % straddles a limit of 0.3 %."""
    (reading,) = judged([_speed(value, rectangular("disc", 0.1))], LIMITS, ())
    assert reading.verdict == verdict


def test_verdict_left_open_by_the_disc_alone_says_what_to_do() -> None:
    open_by_disc, open_by_noise = judged(
        [
            _speed(0.25, rectangular("disc", 0.1), Contribution("noise", 0.001)),
            _speed(0.25, Contribution("noise", 0.1)),
        ],
        LIMITS,
        (),
    )
    assert open_by_disc.conditions["next_move"] == MEASURE_THE_DISC
    assert "next_move" not in open_by_noise.conditions


def test_no_verdict_beyond_one_and_a_half_percent_when_the_nominal_is_in_doubt() -> None:
    """Readings contract, bands: with one 3000/3150 Hz tone alone no verdict beyond ±1.5 %."""
    doubt = (FitnessItem("nominal_doubt", "warn", "…"),)
    far, near = judged([_speed(4.0), _speed(0.5)], LIMITS, doubt)
    assert far.verdict is None
    assert near.verdict == "outside"


def test_quantity_without_a_limit_has_no_verdict() -> None:
    (reading,) = judged([Reading("mains_frequency", 50.0, "Hz", 0.01, (), "m", "s")], LIMITS, ())
    assert reading.limit is None
    assert reading.verdict is None


def test_a_stop_spoils_only_what_it_must() -> None:
    """A clipped tone keeps its pitch but not its crosstalk (common practice, no source)."""
    crosstalk = Reading("crosstalk_left_to_right", -25.0, "dB", 0.1, (), "m", "s", band=0)
    elsewhere = Reading("crosstalk_left_to_right", -25.0, "dB", 0.1, (), "m", "s", band=1)
    speed = _speed(0.1)
    clipped = FitnessItem("clipped", "stop", "…", bands=(0,))
    assert spared([crosstalk, elsewhere, speed], [clipped], SIDE) == (elsewhere, speed)
    assert spared([crosstalk], [FitnessItem("clipped", "warn", "…", bands=(0,))], SIDE) == (crosstalk,)


def test_unknown_chain_holds_back_rumble_and_hum_and_says_so() -> None:
    hum = Reading("hum", -70.0, "dB", 0.5, (), "m", "s", channel="left", band=0)
    mains = Reading("mains_frequency", 50.0, "Hz", 0.01, (), "m", "s", band=0)
    unknown = Side(48000.0, SIDE.bands, chain="unknown")
    assert spared([hum, mains], (), unknown) == (mains,)
    assert spared([hum, mains], (), SIDE) == (hum, mains)
    (finding,) = chain_findings([hum, mains], unknown)
    assert finding.evidence["held_back"] == ["hum"]


@pytest.mark.parametrize(("bound", "verdict"), [(-75.0, "within"), (-40.0, "undecided")])
def test_upper_bound_never_proves_a_limit_passed(bound: float, verdict: str) -> None:
    """The true value of a reading below the noise may lie anywhere under its bound."""
    budget = (Contribution("noise", 1.0),)
    seen = Reading("hum", bound, "dBFS", 1.96, budget, "m", "s", conditions={"below_noise": True})
    (reading,) = judged([seen], LIMITS, ())
    assert reading.verdict == verdict
