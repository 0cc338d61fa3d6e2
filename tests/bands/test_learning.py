"""A layout made of bands found and of what the shop says about them."""

from __future__ import annotations

import pytest

from spindlewright.bands.band import Band, Levels
from spindlewright.bands.layout import LayoutError, layout_from_toml, layout_to_toml
from spindlewright.bands.learning import ToldOfBand, ToldOfDisc, checked_disc_name, in_range, learnt_layout

LEVELS = Levels(-15.0, -15.0)
FOUND = (
    Band(0, 2.0, 62.04, "tone", LEVELS, 3141.0, 3150.0),
    Band(1, 64.0, 80.0, "sweep", LEVELS, from_hz=20.4, to_hz=19_770.0),
    Band(2, 82.0, 112.0, "silence", LEVELS),
)


def test_untold_bands_keep_what_was_found() -> None:
    layout = learnt_layout("Blue sleeve", FOUND, {}, ToldOfDisc())
    assert [b.name for b in layout.bands] == ["3150 Hz tone", "sweep 20 to 19770 Hz", "silent groove"]
    assert [b.nominal_hz for b in layout.bands] == [3150.0, 20.0, None]
    assert [b.duration_s for b in layout.bands] == [60.0, 16.0, 30.0]
    # sweeps are cut between round frequencies: what was heard is off by the speed and the search's step
    assert layout.bands[1].to_hz == 20_000.0
    assert not any(b.reference for b in layout.bands)


def test_what_was_told_goes_before_what_was_found() -> None:
    told = {0: ToldOfBand("Speed", 3000.0, 5.0, "rms"), 1: ToldOfBand(left_out=True)}
    of_disc = ToldOfDisc(45.0, 0.03, 0.02, "made by hand", reference=0)
    layout = learnt_layout(" Blue  sleeve ", FOUND, told, of_disc)
    speed, silent = layout.bands
    assert (layout.name, layout.rpm, layout.speed_error_percent) == ("Blue sleeve", 45.0, 0.03)
    assert (speed.name, speed.nominal_hz, speed.velocity_cm_s, speed.velocity) == ("Speed", 3000.0, 5.0, "rms")
    assert (speed.reference, silent.reference) == (True, False)
    assert layout_from_toml(layout_to_toml(layout), "Blue sleeve") == layout


@pytest.mark.parametrize(
    ("told", "of_disc", "words"),
    [
        ({7: ToldOfBand("x")}, ToldOfDisc(), "no band 7"),
        ({}, ToldOfDisc(reference=3), "no band 3"),
        ({0: ToldOfBand(nominal_hz=1e6)}, ToldOfDisc(), "nominal_hz"),
        ({}, ToldOfDisc(speed_error_percent=50.0), "speed_error_percent"),
        ({n: ToldOfBand(left_out=True) for n in range(3)}, ToldOfDisc(), "nothing to keep"),
    ],
)
def test_what_cannot_be_is_refused_in_words(told: dict[int, ToldOfBand], of_disc: ToldOfDisc, words: str) -> None:
    with pytest.raises(LayoutError, match=words):
        learnt_layout("Blue sleeve", FOUND, told, of_disc)


def test_names_and_numbers_are_held_against_what_a_layout_allows() -> None:
    assert checked_disc_name(" Blue  sleeve ") == "Blue sleeve"
    for name in ("", "../escape", ".hidden", "a" * 81, "c:d"):
        with pytest.raises(LayoutError, match="can't be a disc's name"):
            checked_disc_name(name)
    with pytest.raises(LayoutError, match="allowed is 0 to 10 %"):
        in_range("speed_uncertainty_percent", -1.0, "%")
