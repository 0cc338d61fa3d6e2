"""Doubts about a side that its bands raise, as fitness items (contract: fitness codes)."""

from __future__ import annotations

import math
from typing import Literal

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.bands.channel_kind import DEAD_DB
from spindlewright.bands.gain_doubts import gain_doubts
from spindlewright.bands.mains_hum import MAINS_HZ
from spindlewright.bands.side_found import SideFound
from spindlewright.bands.ticks_found import ticks_in_quiet, ticks_under_tone
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.capture.sample_verdicts import SHORTEST_S

ONE_WALL_DB = 15.0
"""A left-only band is at least this much louder in the left channel (common practice, no source)."""
NO_SEPARATION_DB = 3.0
SHORTEST_USEFUL_S = 8.0
"""3 s for the weighting filter to settle and 5 s to count (contract)."""
DROWNED_DB = 0.0
NEARLY_DROWNED_DB = -10.0
SHORTEST_COUNTED_S = 2.0
MANY_TICKS_PER_MINUTE = 55.0
"""From the survey, which misses the faintest and merges near ones: about one loud tick a second."""


def doubts_of(side: SideFound) -> tuple[FitnessItem, ...]:
    """All doubts that the named bands of a side raise."""
    return (
        *_channels(side),
        *_dead_channel(side),
        *_one_wall(side),
        *gain_doubts(side),
        *_clock(side),
        *_speed(side),
        *_nominal(side),
        *_hum(side),
        *_tones(side),
        *_ticks(side),
    )


def _channels(side: SideFound) -> list[FitnessItem]:
    channels = side.channels
    evidence = {"by_layout": channels.certain}
    if channels.polarity == "inverted":
        message = (
            "One channel is upside down against the other. Exchange the two wires of one channel at the cartridge, "
            "or check the leads; until then no azimuth can be read."
        )
        return [FitnessItem("inverted", "warn", message, evidence=evidence, bands=channels.evidence)]
    if channels.polarity == "swapped":
        message = (
            "Left and right have changed places: the band cut in one wall comes out of the other channel. Exchange "
            "the two plugs, or the pairs of wires at the cartridge."
            if channels.certain
            else "Left and right may have changed places: the right-only band comes before the left-only one, and "
            "most discs put left first. Compare with the disc's own notes, or name its layout."
        )
        return [FitnessItem("swapped", "warn", message, evidence=evidence, bands=channels.evidence)]
    return []


def _dead_channel(side: SideFound) -> list[FitnessItem]:
    """One channel holds none of the tones, whatever hum and noise it holds: crosstalk alone would show them."""
    apart = [b.level_dbfs.left - b.level_dbfs.right for b in side.tones if b.frequency_hz is not None]
    if not apart or not (min(apart) > DEAD_DB or max(apart) < -DEAD_DB):
        return []
    name: Literal["left", "right"] = "right" if apart[0] > 0.0 else "left"
    message = (
        f"The {name} channel holds none of the tones: they are {min(map(abs, apart)):.0f} dB weaker there than in the "
        "other, which no crosstalk explains. Check the tag clip, the headshell pins and the lead of that channel; "
        "swapping the leads at the input shows on which side the fault lies."
    )
    evidence = {"least_difference_db": round(min(map(abs, apart)), 1)}
    return [FitnessItem("channel_dead", "stop", message, channel=name, evidence=evidence)]


def _one_wall(side: SideFound) -> list[FitnessItem]:
    """Bands that the layout cuts in one wall, but that come out of both channels nearly alike."""
    poor = [(b, abs(b.level_dbfs.left - b.level_dbfs.right)) for b in side.bands if b.cut and b.cut.kind in _WALLS]
    poor = [(b, apart) for b, apart in poor if apart < ONE_WALL_DB]
    if not poor:
        return []
    least = min(apart for _, apart in poor)
    bands = tuple(b.index for b, _ in poor)
    evidence = {"level_difference_db": round(least, 1)}
    if least < NO_SEPARATION_DB:
        message = (
            "A band cut in one wall comes out of both channels alike: the channels are joined somewhere. Look for a "
            "mono switch, a mono adaptor or bridged tags at the headshell, then record again."
        )
        return [FitnessItem("mono", "stop", message, evidence=evidence)]
    message = (
        f"A band cut in one wall is only {least:.0f} dB louder in its own channel; {ONE_WALL_DB:.0f} dB is the least "
        "to expect. Check for a nearly mono cable or plug and for a worn or tilted stylus."
    )
    return [FitnessItem("mono", "warn", message, evidence=evidence, bands=bands)]


def _clock(side: SideFound) -> list[FitnessItem]:
    hum = side.found.hum
    if hum is None or hum.clock_ratio == 1.0:
        return []
    stated = side.survey.rate_hz
    true = stated / hum.clock_ratio
    mains = min(MAINS_HZ, key=lambda m: abs(hum.frequency_hz / hum.clock_ratio - m))
    message = (
        f"The file says {stated:g} Hz, but the mains hum in it stands at {hum.frequency_hz:.1f} Hz instead of "
        f"{mains:.0f} Hz: it was recorded at {true:.0f} Hz. Correct the rate in the file, or record again with one "
        "rate set everywhere."
    )
    evidence = {
        "hum_hz": round(hum.frequency_hz, 2),
        "lines": list(hum.lines),
        "stated_rate_hz": stated,
        "likely_rate_hz": round(true),
    }
    return [FitnessItem("wrong_sample_rate", "stop", message, evidence=evidence)]


def _speed(side: SideFound) -> list[FitnessItem]:
    turned = side.nominals.turned
    if turned.ratio == 1.0:
        return []
    if turned.pulley_for_hz is not None:
        return _pulley_of_the_other_mains(side)
    message = (
        f"The tones only fit a disc cut for {_rpm(turned.cut_rpm)} that was played at {_rpm(turned.played_rpm)}. Set "
        "the deck to the disc's speed and record again, or say what the disc was cut for with --rpm."
    )
    evidence = {
        "cut_rpm": round(turned.cut_rpm, 3),
        "played_rpm": round(turned.played_rpm, 3),
        "ratio": round(side.nominals.speed_ratio, 4),
    }
    return [FitnessItem("wrong_speed", "stop", message, evidence=evidence)]


def _pulley_of_the_other_mains(side: SideFound) -> list[FitnessItem]:
    """The nominals are sure and so is the speed: a note, and every reading comes out."""
    turned = side.nominals.turned
    share = "5/6" if turned.ratio < 1.0 else "6/5"
    message = (
        f"The deck turns at about {share} of the disc's speed: {turned.cut_rpm * side.nominals.speed_ratio:.2f} rpm "
        f"instead of {_rpm(turned.cut_rpm)}. That is what a pulley made for {turned.pulley_for_hz:.0f} Hz mains does "
        f"on {turned.mains_hz:.0f} Hz. Look what pulley and motor are made for, fit the right one, then record again."
    )
    evidence = {
        "cut_rpm": round(turned.cut_rpm, 3),
        "played_rpm": round(turned.played_rpm, 3),
        "ratio": round(side.nominals.speed_ratio, 4),
        "pulley_for_hz": turned.pulley_for_hz,
        "mains_hz": turned.mains_hz,
    }
    return [FitnessItem("wrong_speed", "warn", message, evidence=evidence)]


def _nominal(side: SideFound) -> list[FitnessItem]:
    tones = [b for b in side.tones if b.frequency_hz is not None]
    if side.nominals.doubt is not None:
        low, high = side.nominals.doubt
        message = (
            f"The only tone may have been cut at {low:.0f} or at {high:.0f} Hz; the nearer was taken. Look at the "
            "disc's label, name its layout, or record a second tone of the same disc."
        )
        evidence = {"candidates_hz": [low, high], "found_hz": round(tones[0].frequency_hz or 0.0, 2)}
        return [FitnessItem("nominal_doubt", "warn", message, evidence=evidence)]
    nameless = [b for b in tones if b.nominal_hz is None]
    if not nameless:
        return []
    found = ", ".join(f"{b.frequency_hz:.1f}" for b in nameless[:4])
    message = (
        f"No usual test frequency is near {found} Hz at the speed of the other tones, so no speed can be told from "
        "it. Name the disc's layout, or learn the disc."
    )
    evidence = {"found_hz": [round(b.frequency_hz or 0.0, 2) for b in nameless]}
    return [FitnessItem("nominal_doubt", "warn", message, evidence=evidence, bands=tuple(b.index for b in nameless))]


def _hum(side: SideFound) -> list[FitnessItem]:
    hum = side.found.hum
    if hum is None:
        return []
    items = []
    for severity, least in (("stop", DROWNED_DB), ("warn", NEARLY_DROWNED_DB)):
        bands = [b for b in side.tones if least <= hum.level_db - _loudest(b)]
        bands = [b for b in bands if severity == "stop" or hum.level_db - _loudest(b) < DROWNED_DB]
        if not bands:
            continue
        where = "The tone" if len(bands) == len(side.tones) else f"Band {', '.join(str(b.index) for b in bands)}"
        how = "is drowned in mains hum" if severity == "stop" else "stands little above the mains hum"
        message = f"{where} {how} ({hum.level_db:.0f} dBFS). Cure the hum first: earth lead, headshell clips, cable."
        evidence = {"hum_dbfs": round(hum.level_db, 1), "tone_dbfs": [round(_loudest(b), 1) for b in bands]}
        items.append(
            FitnessItem("hum_drowned", severity, message, evidence=evidence, bands=tuple(b.index for b in bands))  # type: ignore[arg-type]
        )
    return items


def _tones(side: SideFound) -> list[FitnessItem]:
    if not side.tones:
        if side.layout is not None and not any(band.kind in TONE_KINDS for band in side.layout.bands):
            return []  # none is to be heard, as with the arm lifted the whole time
        message = (
            "No steady tone was found. Play a test tone; for the speed alone the run-out groove of any record will do."
        )
        return [FitnessItem("no_tone", "stop", message)]
    longest = max(b.duration_s for b in side.tones)
    if longest >= SHORTEST_USEFUL_S or side.survey.duration_s < SHORTEST_S:
        return []
    message = (
        f"The longest tone lasts {longest:.1f} s; wow and flutter need {SHORTEST_USEFUL_S:.0f} s. Record a longer "
        "stretch: 40 s of a tone is enough for every reading."
    )
    return [
        FitnessItem(
            "too_short",
            "warn",
            message,
            evidence={"longest_tone_s": round(longest, 1)},
            bands=tuple(b.index for b in side.tones),
        )
    ]


def _ticks(side: SideFound) -> list[FitnessItem]:
    survey, frame_s = side.survey, side.survey.frame_s
    ticks, total_s = 0, 0.0
    for band in side.bands:
        if band.kind in ("sweep", "noise", "lifted") or band.duration_s < SHORTEST_COUNTED_S:
            continue
        if band.kind in TONE_KINDS:
            first, stop = math.ceil(band.start_s / frame_s) + 3, int(band.end_s / frame_s) - 3
            ticks += ticks_under_tone(survey, first, stop)
        else:
            ticks += ticks_in_quiet(survey, band.start_s, band.end_s).size
        total_s += band.duration_s
    if total_s < 10.0:
        return []
    rate = ticks * 60.0 / total_s
    if rate < MANY_TICKS_PER_MINUTE:
        return []
    message = (
        f"The groove ticks loudly about {rate:.0f} times a minute. Clean the disc and the stylus, then record again."
    )
    return [FitnessItem("many_ticks", "warn", message, evidence={"ticks_per_minute": round(rate)})]


_WALLS = ("left", "right")


def _loudest(band: Band) -> float:
    return max(band.level_dbfs.left, band.level_dbfs.right)


def _rpm(rpm: float) -> str:
    names = {100.0 / 3.0: "33⅓ rpm", 45.0: "45 rpm", 3600.0 / 46.0: "78 rpm"}
    return next((name for exact, name in names.items() if abs(rpm / exact - 1.0) < 0.01), f"{rpm:g} rpm")
