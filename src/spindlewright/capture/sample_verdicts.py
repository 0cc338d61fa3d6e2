"""What the figures of the sample-level inspection mean for the person at the bench."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from typing import Literal

from spindlewright.capture.clipping import ClippedInterval, full_scale_from, overdrive_db
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.capture.inspected import Inspected
from spindlewright.capture.sameness import Sameness
from spindlewright.standards.aes17_2020 import dbfs

SUSTAINED_CLIPPING_S = 0.5
"""Shorter clipping is a tick or the needle's thump and spoils no reading (working choice)."""
WANTED_HEADROOM_DB = 6.0
"""Keep peaks at -6 dBFS (common practice, no source)."""
QUIET_DBFS = -50.0
"""Below, the recorder's own noise starts to count (working choice: consumer inputs have 85 to 95 dB range)."""
QUIET_OVER_STEPS_DB = 35.0
"""The loudest sound should stand this far over the noise of the word length (working choice)."""
HOPELESS_OVER_STEPS_DB = 15.0
HOPELESS_DBFS = -85.0
SILENT_DBFS = -200.0
DEAD_BELOW_OTHER_DB = 55.0
"""No cartridge separates its channels by more than 35 to 45 dB (common practice), so more means a dead channel."""
OFFSET_OF_FULL_SCALE = 0.01
"""Mean value worth a word: 1 % of full scale (common practice, no source)."""
OFFSET_OF_SIGNAL = 0.2
OFFSET_OF_SIGNAL_FROM = 0.002
OFFSET_STEPS = 3.0
OFFSET_SHORTEST_S = 1.0
SHORTEST_S = 1.0
"""No band and no hum line can be told in less (working choice: two periods of the slowest platter take 3.6 s)."""
LISTED = 50
LEFT_RIGHT: tuple[Literal["left"], Literal["right"]] = ("left", "right")


def fitness_of_samples(
    seen: Inspected,
    *,
    bits: int | None,
    clipped: tuple[Sequence[ClippedInterval], Sequence[ClippedInterval]],
    rate_hz: float,
    sameness: Sameness,
) -> tuple[FitnessItem, ...]:
    """All sample-level items, the gravest kinds first."""
    if seen.duration_s <= 0.0:
        return ()
    short = _short(seen)
    if seen.is_silent:
        return (*short, _silent(seen))
    items: list[FitnessItem] = short
    items += _dead(seen)
    dead = {item.channel for item in items}
    items += _clipping(seen, clipped, rate_hz, bits)
    items += _mono(sameness)
    items += _quiet(seen, bits, dead)
    items += _drop_outs(seen)
    items += _offset(seen, bits)
    return tuple(items)


def _short(seen: Inspected) -> list[FitnessItem]:
    if seen.duration_s >= SHORTEST_S:
        return []
    return [
        FitnessItem(
            code="too_short",
            severity="stop",
            message=f"The recording lasts {seen.duration_s:.3g} s only; nothing can be read from less than "
            f"{SHORTEST_S:.0f} s. Record a longer stretch: 40 s of a tone is enough for every reading.",
            evidence={"duration_s": seen.duration_s},
        )
    ]


def _silent(seen: Inspected) -> FitnessItem:
    return FitnessItem(
        code="too_quiet",
        severity="stop",
        message="The recording holds no sound at all: every sample has the same value. "
        "Check the leads, the input chosen in the recorder, and that it was not muted; then record again.",
        evidence={"peak": list(seen.peak), "duration_s": seen.duration_s},
    )


def _dead(seen: Inspected) -> list[FitnessItem]:
    left, right = seen.loud_rms
    items = []
    for channel, own, other in ((0, left, right), (1, right, left)):
        if not seen.constant[channel] and not (own > 0.0 and other / own > 10 ** (DEAD_BELOW_OTHER_DB / 20)):
            continue
        name = LEFT_RIGHT[channel]
        what = (
            f"the {name} channel holds no sound at all"
            if seen.constant[channel]
            else f"the {name} channel stays {20 * math.log10(other / own):.0f} dB below the other"
        )
        items.append(
            FitnessItem(
                code="channel_dead",
                severity="stop",
                channel=name,
                message=f"{what[0].upper()}{what[1:]}. Check the tag clip, the headshell pins and the lead of that "
                "channel; swapping the leads at the input shows on which side the fault lies.",
                evidence={"level_dbfs": _levels(seen.loud_rms), "constant": seen.constant[channel]},
            )
        )
    return items


def _clipping(
    seen: Inspected,
    clipped: tuple[Sequence[ClippedInterval], Sequence[ClippedInterval]],
    rate_hz: float,
    bits: int | None,
) -> list[FitnessItem]:
    shortest = min(SUSTAINED_CLIPPING_S, 0.5 * seen.duration_s) * rate_hz
    lasting = [[part for part in parts if part.stop - part.start >= shortest] for parts in clipped]
    items = []
    for channel, parts in enumerate(lasting):
        if not parts:
            continue
        rail = max(part.rail for part in parts)
        over = max(overdrive_db(part) for part in parts)
        down = math.ceil(over + WANTED_HEADROOM_DB)
        times = [[part.start / rate_hz, part.stop / rate_hz] for part in parts[:LISTED]]
        total = sum(part.stop - part.start for part in parts) / rate_hz
        where = (
            f"Record again with the level {down} dB lower."
            if rail >= full_scale_from(bits)
            else f"The limit lies at {20 * math.log10(rail):.1f} dBFS, so an amplifier before the recorder ran out of "
            f"room: turn down by {down} dB before that amplifier, then record again."
        )
        items.append(
            FitnessItem(
                code="clipped",
                severity="stop",
                channel=LEFT_RIGHT[channel],
                message=f"The {LEFT_RIGHT[channel]} channel is clipped for {total:.1f} s, first at "
                f"{times[0][0]:.1f} s. {where}",
                evidence={
                    "intervals_s": times,
                    "limit": rail,
                    "overdrive_db": round(over, 1),
                    "flat_runs": sum(part.runs for part in parts),
                },
            )
        )
    return items


def _mono(sameness: Sameness) -> list[FitnessItem]:
    if sameness.one_channel:
        message = (
            "The file has one channel only. Speed and flutter can be read; for balance, crosstalk and azimuth "
            "record in stereo."
        )
        return [FitnessItem("mono", "stop", message, evidence={"channels": 1})]
    if sameness.equal:
        message = (
            "Both channels are the same, sample for sample: one channel was recorded twice. Set the recorder to "
            "stereo, take out any mono adaptor, and record again."
        )
        return [FitnessItem("mono", "stop", message, evidence={"equal": True})]
    if sameness.gain is not None:
        size = 20 * math.log10(abs(sameness.gain))
        message = (
            f"The two channels are one sound at two levels ({size:+.1f} dB right over left): one channel was probably "
            "recorded twice. Set the recorder to stereo, take out any mono adaptor, and record again."
        )
        return [FitnessItem("mono", "warn", message, evidence={"equal": False, "gain": sameness.gain})]
    return []


def _quiet(seen: Inspected, bits: int | None, dead: Set[str | None]) -> list[FitnessItem]:
    loudest = max(SILENT_DBFS, float(dbfs(max(seen.loud_rms))))
    floor = float(dbfs(2.0 ** (1 - min(bits or 24, 24)) / math.sqrt(12.0)))
    if loudest >= max(QUIET_DBFS, floor + QUIET_OVER_STEPS_DB):
        return []
    hopeless = loudest < max(HOPELESS_DBFS, floor + HOPELESS_OVER_STEPS_DB)
    up = max(1, round(-12.0 - loudest))
    return [
        FitnessItem(
            code="too_quiet",
            severity="stop" if hopeless else "warn",
            message=f"The loudest sound in the recording lies at {loudest:.0f} dBFS. "
            f"If there are tones on it, record again with the level {up} dB higher.",
            evidence={"level_dbfs": _levels(seen.loud_rms), "word_length_noise_dbfs": round(floor, 1)},
        )
    ]


def _drop_outs(seen: Inspected) -> list[FitnessItem]:
    left, right = seen.held_s
    places = sorted({*left, *right})
    if not places:
        return []
    both = bool(left) and bool(right)
    where = ", ".join(f"{start:.2f} s" for start, _ in places[:5]) + (" …" if len(places) > 5 else "")
    return [
        FitnessItem(
            code="drop_out",
            severity="warn",
            channel=None if both else ("left" if left else "right"),
            message=f"The sound stops for a moment at {len(places)} place{'s' if len(places) > 1 else ''} ({where}). "
            "Close other programs, use another USB port or a larger buffer, and record again.",
            evidence={"count": len(places), "intervals_s": [list(place) for place in places[:LISTED]]},
        )
    ]


def _offset(seen: Inspected, bits: int | None) -> list[FitnessItem]:
    if seen.duration_s < OFFSET_SHORTEST_S:
        return []
    step = 2.0 ** (1 - min(bits or 16, 24))
    items = []
    for channel in (0, 1):
        name = LEFT_RIGHT[channel]
        size = seen.offset[channel] / max(1.0, *seen.peak)  # floating-point files may go beyond full scale
        small = size < OFFSET_OF_FULL_SCALE and (
            size < OFFSET_OF_SIGNAL_FROM or seen.offset[channel] < OFFSET_OF_SIGNAL * seen.loud_rms[channel]
        )
        if seen.constant[channel] or small or size < OFFSET_STEPS * step:
            continue
        items.append(
            FitnessItem(
                code="offset",
                severity="warn",
                channel=name,
                message=f"The {name} channel does not swing about zero: its mean lies {100 * seen.mean[channel]:+.1f} "
                "% of full scale off. Readings are not hurt, but the input wants looking at (a leaking coupling "
                "capacitor, or the recorder's offset removal switched off).",
                evidence={
                    "mean": seen.mean[channel],
                    "share_of_signal": seen.offset[channel] / max(seen.loud_rms[channel], 1e-12),
                },
            )
        )
    return items


def _levels(rms: tuple[float, float]) -> dict[str, float | None]:
    return {
        name: round(float(dbfs(value)), 1) if value > 0.0 else None
        for name, value in zip(LEFT_RIGHT, rms, strict=True)
    }
