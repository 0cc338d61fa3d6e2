"""Roll, coils, load, gains and leads of the simulated cartridge, and how velocity becomes level."""

from __future__ import annotations

import numpy as np
import pytest
from listening_tools import decibels, lock_in, stretch

from spindlewright.simulate import Spec, render
from spindlewright.simulate.cartridge import electrical_response
from spindlewright.simulate.spec import Cartridge, CutBand, Electrical, Phono, Recorder, Take

QUIET = Recorder(rate_hz=96_000, bits="float", noise_dbfs=None)
SHORT = Take(lifted_before_s=0.1, lead_in_s=0.1, lead_out_s=0.1, lifted_after_s=0.1)


def outputs(cartridge: Cartridge, kind: str = "tone", hz: float = 1000.0, **more) -> np.ndarray:
    """Complex amplitude of left and right output for a 5 cm/s band, re the reference level."""
    cut = CutBand(kind=kind, hz=hz, seconds=1.5, **more)
    side = render(Spec(cartridge=cartridge, recorder=QUIET, take=SHORT, bands=(cut,)))
    return lock_in(stretch(side, side.truth.bands[0], 0.1), hz, side.rate_hz) / 10.0 ** (-20.0 / 20.0)


def test_five_cm_per_wall_is_the_reference_level() -> None:
    """−20 dBFS by default, a sine of that peak (AES17); 5 cm/s lateral is 3.01 dB less per channel (20, derived)."""
    assert decibels(outputs(Cartridge(), "left")[0]) == pytest.approx(0.0, abs=2e-3)
    assert decibels(outputs(Cartridge(), "tone")) == pytest.approx([-3.0103, -3.0103], abs=2e-3)
    lateral, vertical = outputs(Cartridge(), "tone"), outputs(Cartridge(), "vertical")
    assert np.angle(lateral[1] / lateral[0], deg=True) == pytest.approx(0.0, abs=1e-6)
    assert abs(np.angle(vertical[1] / vertical[0], deg=True)) == pytest.approx(180.0, abs=1e-6)


@pytest.mark.parametrize(
    ("roll_deg", "leak_db"),
    [(0.25, -47.204), (0.5, -41.183), (1.0, -35.162), (2.0, -29.138), (3.0, -25.612), (5.0, -21.161), (10.0, -15.074)],
)
def test_roll_leaks_by_its_tangent(roll_deg: float, leak_db: float) -> None:
    """20 log10 tan(roll) both ways with opposite signs: table of published-values 13 (derived)."""
    cartridge = Cartridge(azimuth_deg=roll_deg)
    left, right = outputs(cartridge, "left"), outputs(cartridge, "right")
    to_right, to_left = left[1] / left[0], right[0] / right[1]
    assert decibels(to_right) == pytest.approx(leak_db, abs=2e-3)
    assert decibels(to_left) == pytest.approx(leak_db, abs=2e-3)
    # L' = c l + s r, R' = −s l + c r: positive roll leaks the left wall into the right output upside down
    assert to_right.real < 0.0 < to_left.real


def test_the_contract_s_formula_gets_the_roll_back() -> None:
    """tilt = arctan((x_RL/g − g x_LR)/2) and the symmetric part, with a gain difference in the way (readings.md)."""
    cartridge = Cartridge(azimuth_deg=-1.7, crosstalk_db=-38.0, balance_db=1.4)
    left, right = outputs(cartridge, "left"), outputs(cartridge, "right")
    gain = abs(left[0]) / abs(right[1])
    x_lr, x_rl = (left[1] / left[0]).real, (right[0] / right[1]).real
    assert np.rad2deg(np.arctan((x_rl / gain - gain * x_lr) / 2.0)) == pytest.approx(-1.7, abs=0.005)
    assert decibels((x_rl / gain + gain * x_lr) / 2.0) == pytest.approx(-38.0, abs=0.02)


def test_gain_difference_and_leads() -> None:
    """Left minus right in dB; exchanged leads exchange everything; a reversed lead turns the phase by 180°."""
    assert np.subtract(*decibels(outputs(Cartridge(balance_db=2.5)))) == pytest.approx(2.5, abs=1e-3)
    assert decibels(outputs(Cartridge(swapped=True), "left")[1]) == pytest.approx(0.0, abs=2e-3)
    reversed_lead = outputs(Cartridge(inverted="right"))
    assert abs(np.angle(reversed_lead[1] / reversed_lead[0], deg=True)) == pytest.approx(180.0, abs=1e-6)


def test_inductive_leak_is_ninety_degrees_ahead_and_rises() -> None:
    """−40 dB at 1 kHz, 6.02 dB more at 2 kHz, phase +90° (definition of the knob)."""
    cartridge = Cartridge(crosstalk_quadrature_db=-40.0)
    one, two = outputs(cartridge, "left"), outputs(cartridge, "left", 2000.0)
    assert decibels(one[1] / one[0]) == pytest.approx(-40.0, abs=0.02)
    assert np.angle(one[1] / one[0], deg=True) == pytest.approx(90.0, abs=0.1)
    assert decibels(two[1] / two[0]) - decibels(one[1] / one[0]) == pytest.approx(6.0206, abs=0.02)


LOADS = [
    # L mH, Rc Ω, C pF, RL kΩ, 10 kHz dB, 20 kHz dB, loss at low frequencies dB: published-values 10 (derived)
    (500.0, 1000.0, 100.0, 47.0, -0.36, -2.54, -0.183),
    (500.0, 1000.0, 250.0, 47.0, 1.43, -4.28, -0.183),
    (500.0, 1000.0, 250.0, 33.0, -0.62, -6.41, -0.259),
    (500.0, 1000.0, 250.0, 100.0, 4.30, -1.30, -0.086),
    (650.0, 1200.0, 450.0, 47.0, 0.95, -11.93, -0.219),
    (50.0, 40.0, 250.0, 47.0, 0.41, 1.78, -0.007),
    (0.05, 10.0, 300.0, 0.1, 0.0, -0.01, -0.828),
]


@pytest.mark.parametrize(("henry", "coil", "farad", "load", "ten", "twenty", "loss"), LOADS)
def test_coil_and_load(henry, coil, farad, load, ten, twenty, loss) -> None:
    """Formula and rendered tones re 1 kHz against the table."""
    electrical = Electrical(
        coil_inductance_mh=henry, coil_resistance_ohm=coil, load_capacitance_pf=farad, load_resistance_kohm=load
    )
    low, one, at_ten, at_twenty = decibels(electrical_response(electrical, np.array([1.0, 1e3, 1e4, 2e4])))
    assert (low, at_ten - one, at_twenty - one) == pytest.approx((loss, ten, twenty), abs=0.006)
    cartridge = Cartridge(electrical=electrical)
    assert decibels(outputs(cartridge, "tone", 1e4)[0]) + 3.0103 == pytest.approx(ten, abs=0.01)
    assert decibels(outputs(cartridge, "tone", 2e4)[0]) + 3.0103 == pytest.approx(twenty, abs=0.01)


def test_the_channel_that_gives_way() -> None:
    """Above its limit one channel is short of level and full of third harmonic; the other stays clean."""
    cartridge = Cartridge(mistracking_left_db=-6.0)
    spec = Spec(
        cartridge=cartridge,
        recorder=QUIET,
        take=SHORT,
        phono=Phono(chain="flat"),
        bands=(CutBand(kind="tone", hz=315.0, seconds=1.5, equalisation="flat"),),
    )
    side = render(spec)
    x = stretch(side, side.truth.bands[0], 0.1)
    one, three = lock_in(x, 315.0, side.rate_hz), lock_in(x, 945.0, side.rate_hz)
    assert decibels(three / one)[0] > -30.0
    assert decibels(three / one)[1] < -110.0
    assert decibels(one[0] / one[1]) < -1.0
