"""A layout decides what the sound alone cannot: nominals, walls, up-and-down bands, short silence, the run-out."""

from __future__ import annotations

from dataclasses import replace
from importlib import resources

import numpy as np
import pytest
from band_scenes import Cut, Scene, gap
from found import codes, named, named_scene

from spindlewright.bands.band import Band, LayoutBand
from spindlewright.bands.layout import Layout, layout_from_toml, layout_to_toml

DISC = Layout(
    "test",
    (
        LayoutBand("speed", "tone", 3150.0, duration_s=12.0),
        LayoutBand("left", "left", 1000.0, duration_s=6.0),
        LayoutBand("right", "right", 1000.0, duration_s=6.0),
        LayoutBand("both", "tone", 1000.0, duration_s=6.0, reference=True),
        LayoutBand("hill and dale", "vertical", 315.0, duration_s=6.0),
        LayoutBand("silent", "silence", duration_s=3.0),
        LayoutBand("speed, inner", "tone", 3150.0, duration_s=12.0),
        LayoutBand("run-out", "run_out"),
    ),
)
CUTS = [
    Cut("tone", 3150, 12.0, -10.0),
    gap(2.0),
    Cut("left", 1000, 6.0),
    gap(1.0),
    Cut("right", 1000, 6.0),
    gap(1.0),
    Cut("tone", 1000, 6.0),
    gap(1.0),
    Cut("vertical", 315, 6.0),
    Cut("silence", None, 3.0),
    Cut("tone", 3150, 12.0, -10.0),
    gap(6.0),
]
NAMES = [b.name for b in DISC.bands]
KINDS = [b.kind for b in DISC.bands]


@pytest.mark.parametrize("speed", [-0.058, -0.011, 0.0, 0.02, 0.058])
def test_every_band_meets_its_own(speed: float) -> None:
    result = named_scene(Scene(CUTS, speed=speed, ticks_per_minute=20, hum_db=-60.0), DISC)
    assert [b.layout_name for b in result.bands] == NAMES
    assert [b.kind for b in result.bands] == KINDS
    assert [b.nominal_hz for b in result.bands] == [b.nominal_hz for b in DISC.bands]
    assert result.polarity == "known"
    assert result.speed_ratio == pytest.approx(1 + speed, abs=3e-4)
    assert "nominal_doubt" not in codes(result)


def test_the_silence_shorter_than_five_seconds_has_its_times() -> None:
    band = named_scene(Scene(CUTS), DISC).bands[5]
    assert (band.start_s, band.end_s) == (pytest.approx(42.0, abs=0.1), pytest.approx(45.0, abs=0.1))


def test_missing_and_extra_bands_do_not_shift_the_others() -> None:
    without = [c for c in CUTS if c.kind != "right"]
    result = named_scene(Scene(without), DISC)
    assert [b.layout_name for b in result.bands] == [n for n in NAMES if n != "right"]
    missing = next(f for f in result.findings if f.code == "bands_missing")
    assert missing.evidence["bands"] == ["right"]
    extra = [*CUTS[:2], Cut("tone", 6300, 5.0), gap(1.0), *CUTS[2:]]
    result = named_scene(Scene(extra), DISC)
    assert [b.layout_name for b in result.bands] == [NAMES[0], None, *NAMES[1:]]
    assert result.bands[1].nominal_hz == 6300


def test_one_layout_decides_between_3000_and_3150() -> None:
    """3060 Hz: 2 % fast of 3000 or 2.9 % slow of 3150."""
    t = np.arange(16000 * 12) / 16000
    sound = (0.2 * np.sin(2 * np.pi * 3060 * t))[:, None] * [1.0, 1.0]
    for nominal in (3000.0, 3150.0):
        layout = Layout("lone", (LayoutBand("speed", "tone", nominal),))
        result = named(sound.astype(np.float32), 16000, layout)
        assert result.bands[0].nominal_hz == nominal
        assert "nominal_doubt" not in codes(result)
    alone = named(sound.astype(np.float32), 16000)
    assert alone.bands[0].nominal_hz == 3000.0
    assert "nominal_doubt" in codes(alone)


def test_exchanged_channels_are_certain_with_a_layout() -> None:
    sound = Scene(CUTS).sound()[:, ::-1].copy()
    result = named(sound, 16000, DISC)
    assert [b.layout_name for b in result.bands] == NAMES
    assert result.polarity == "swapped"
    assert "swapped" in {f.code for f in result.findings}
    item = next(i for i in result.fitness if i.code == "swapped")
    assert item.evidence["by_layout"] is True
    # a band's kind speaks of the channels as they are in the file
    assert [b.kind for b in result.bands[1:3]] == ["right", "left"]


def test_a_disc_that_puts_right_first_is_not_exchanged_when_its_layout_says_so() -> None:
    order = [0, 2, 1, *range(3, 8)]
    layout = replace(DISC, bands=tuple(DISC.bands[i] for i in order))
    cuts = [*CUTS[:2], CUTS[4], CUTS[3], CUTS[2], *CUTS[5:]]
    assert "swapped" in codes(named_scene(Scene(cuts)))
    assert codes(named_scene(Scene(cuts), layout)) == set()


def test_one_channel_upside_down_keeps_the_kinds_as_cut() -> None:
    sound = Scene(CUTS).sound() * np.array([1.0, -1.0], dtype=np.float32)
    result = named(sound, 16000, DISC)
    assert [b.kind for b in result.bands] == KINDS
    assert result.polarity == "inverted"
    assert "inverted" in codes(result)


def test_joined_channels_are_told_by_the_one_wall_bands() -> None:
    sound = Scene(CUTS).sound()
    mono = np.repeat(sound.mean(axis=1, keepdims=True), 2, axis=1)
    result = named(mono, 16000, DISC)
    assert result.bands[1].layout_name == "left"
    assert ("mono", "stop") in {(i.code, i.severity) for i in result.fitness}
    partly = sound @ np.array([[1.0, 0.3], [0.3, 1.0]], dtype=np.float32)
    result = named(partly, 16000, DISC)
    assert ("mono", "warn") in {(i.code, i.severity) for i in result.fitness}


@pytest.mark.parametrize(("speed", "cut", "played"), [(0.352, 33.333, 45.0), (45 * -0.2 / 33.75, 45.0, 33.333)])
def test_the_wrong_speed_switch(speed: float, cut: float, played: float) -> None:
    layout = replace(DISC, rpm=100 / 3 if cut < 40 else 45.0)
    ratio = played / cut * 1.001
    result = named_scene(Scene(CUTS, speed=ratio - 1, wow=0.0), layout)
    assert [b.nominal_hz for b in result.bands] == [b.nominal_hz for b in DISC.bands]
    item = next(i for i in result.fitness if i.code == "wrong_speed")
    assert item.severity == "stop"
    assert (item.evidence["cut_rpm"], item.evidence["played_rpm"]) == (cut, played)


@pytest.mark.parametrize(("ratio", "made_for", "mains"), [(5 / 6, 60.0, 50.0), (6 / 5, 50.0, 60.0)])
def test_the_pulley_of_the_other_mains(ratio: float, made_for: float, mains: float) -> None:
    """Witness: 27.78 and 40 rpm (trade practice). It is noted, and spoils nothing."""
    result = named_scene(Scene(CUTS, speed=ratio * 1.001 - 1, wow=0.0), DISC)
    assert [b.nominal_hz for b in result.bands] == [b.nominal_hz for b in DISC.bands]
    assert result.speed_ratio == pytest.approx(ratio * 1.001, abs=3e-4)
    item = next(i for i in result.fitness if i.code == "wrong_speed")
    assert item.severity == "warn"
    assert (item.evidence["pulley_for_hz"], item.evidence["mains_hz"]) == (made_for, mains)
    assert ("27.81 rpm" if ratio < 1 else "40.04 rpm") in item.message


def test_a_known_speed_error_of_the_disc_moves_its_nominals() -> None:
    result = named_scene(Scene(CUTS), replace(DISC, speed_error_percent=0.12))
    assert result.bands[0].nominal_hz == pytest.approx(3150 * 1.0012)


def test_a_layout_of_another_disc_is_not_forced_on() -> None:
    other = Layout("other", (LayoutBand("a", "tone", 440.0), LayoutBand("b", "tone", 12000.0)))
    result = named_scene(Scene(CUTS), other)
    assert {b.layout_name for b in result.bands} == {None}
    assert result.bands[0].nominal_hz == 3150
    assert "layout_not_fitting" in {f.code for f in result.findings}


def test_a_learned_disc_is_known_again_at_another_speed() -> None:
    """What ``disc learn`` keeps: the bands of one capture; the second is played 4 % slow and starts later."""

    def kept(band: Band) -> LayoutBand:
        return LayoutBand(f"no {band.index}", band.kind, band.nominal_hz, duration_s=round(band.duration_s, 1))

    first = named_scene(Scene(CUTS, speed=0.013, hum_db=-60.0))
    learned = layout_from_toml(layout_to_toml(Layout("ours", tuple(kept(b) for b in first.bands))), "ours")
    again = named_scene(Scene([gap(3.3), *CUTS], speed=-0.041, seed=7), learned)
    assert [b.layout_name for b in again.bands] == [b.name for b in learned.bands]
    assert again.speed_ratio == pytest.approx(0.959, abs=3e-4)


def test_the_shipped_set_up_disc_is_recognised() -> None:
    file = resources.files("spindlewright.bands") / "layouts" / "listening-room-set-up-disc.toml"
    layout = layout_from_toml(file.read_text(encoding="utf-8"), "set-up")
    cuts = []
    for band in layout.bands:
        kind = "gap" if band.kind == "run_out" else band.kind
        cuts += [Cut(kind, band.nominal_hz, (band.duration_s or 8.0) / 3), gap(0.0 if kind == "silence" else 1.5)]
    result = named_scene(Scene(cuts, speed=-0.007), layout)
    assert [b.layout_name for b in result.bands] == [b.name for b in layout.bands]


def test_a_band_cut_otherwise_than_laid_out_is_a_finding() -> None:
    cuts = [replace(cut, kind="tone") if cut.kind == "vertical" else cut for cut in CUTS]
    result = named_scene(Scene(cuts), DISC)
    (finding,) = [f for f in result.findings if f.code == "not_as_laid_out"]
    assert finding.band == 4
    assert "hill and dale" in finding.message
    assert "in phase" in finding.message
    assert finding.evidence["laid_out"] == "vertical"
    assert finding.evidence["found"] == "tone"
    assert result.polarity == "known"


@pytest.mark.parametrize("turn", ["as cut", "one channel reversed", "exchanged"])
def test_reversed_or_exchanged_channels_are_not_told_band_by_band(turn: str) -> None:
    sound = Scene(CUTS).sound()
    if turn == "one channel reversed":
        sound = sound * np.array([1.0, -1.0], dtype=np.float32)
    if turn == "exchanged":
        sound = sound[:, ::-1].copy()
    assert "not_as_laid_out" not in {f.code for f in named(sound, 16000, DISC).findings}
