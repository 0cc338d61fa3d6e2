"""The table of fitness codes: what each means, what to do, and which readings a ``stop`` spoils.

Readings are named by the quantity keys of the reading contract. A ``stop`` spoils only what it must: of an item that
names bands only readings from those bands, of a ``Spoil`` with channels only readings of those channels.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Literal

from spindlewright.capture.fitness_item import FitnessItem, Severity

ChannelRule = Literal["any", "affected", "lateral and vertical"]
"""Whose readings are spoiled: all; those of the item's channel and all that mix both channels; only mixtures."""

SPEED = ("speed_deviation", "speed_drift", "rotation_rate")
FLUTTER = (
    "wow_flutter_weighted", "wow_flutter_weighted_quasi_peak", "wow_flutter_weighted_rms", "wow_flutter_unweighted",
    "wow", "flutter",
)  # fmt: skip
ONCE_PER_TURN = (
    "once_per_revolution", "once_per_revolution_disc", "once_per_revolution_pin", "once_per_revolution_drive",
    "disc_eccentricity",
)  # fmt: skip
TWO_CHANNELS = (
    "channel_balance", "crosstalk_left_to_right", "crosstalk_right_to_left", "azimuth_error", "symmetric_crosstalk",
)  # fmt: skip
LEVEL = ("level_reference",)
HUM = ("hum",)
MAINS = ("mains_frequency",)
RUMBLE = ("rumble_unweighted", "rumble_weighted")
GROOVE_NOISE = ("surface_noise",)
CLICKS = ("clicks_per_minute",)
DISTORTION = ("total_harmonic_distortion", "second_harmonic", "third_harmonic", "intermodulation")
TRACKING = ("tracking_limit_left", "tracking_limit_right")
RESPONSE = ("response", "response_deviation", "load_resonance")
ARM = ("arm_resonance_lateral", "arm_resonance_vertical")
TIMES = ("start_time", "coast_down_time")
"""Named by what they need of the sound; together all quantities of the contract that are read from sound."""

EVERYTHING = (
    SPEED + FLUTTER + ONCE_PER_TURN + TWO_CHANNELS + LEVEL + HUM + MAINS + RUMBLE + GROOVE_NOISE + CLICKS + DISTORTION
    + TRACKING + RESPONSE + ARM + TIMES
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Spoil:
    """Quantities that a ``stop`` takes away, and of which channels."""

    quantities: tuple[str, ...]
    channels: ChannelRule = "any"


@dataclass(frozen=True, slots=True)
class FitnessCode:
    """One code of the contract. ``severity`` is the usual one; an item may carry the other. ``because`` says why
    just these readings are spoiled."""

    code: str
    severity: Severity
    meaning: str
    remedy: str
    because: str
    spoils: tuple[Spoil, ...] = ()


_TABLE = (
    FitnessCode(
        "clipped",
        "stop",
        "The wave rises to a limit and stays on it: a converter or an amplifier ran out of room.",
        "Record again with a lower level, so that peaks stay below -6 dBFS.",
        "A clipped tone keeps its pitch but loses its level, its harmonics and its crosstalk (common practice).",
        (
            Spoil(TWO_CHANNELS),
            Spoil(LEVEL + HUM + RUMBLE + GROOVE_NOISE + CLICKS + DISTORTION + RESPONSE, "affected"),
            Spoil(TRACKING + ARM),
        ),
    ),
    FitnessCode(
        "too_quiet",
        "warn",
        "The loudest sound lies close to the recorder's own noise or to its last bit.",
        "Record again with a higher level.",
        "What is nearly lost in quantising noise has no true level and no noise of its own; lines keep their pitch.",
        (
            Spoil(FLUTTER + ONCE_PER_TURN + TWO_CHANNELS + LEVEL + HUM + RUMBLE + GROOVE_NOISE + CLICKS),
            Spoil(DISTORTION + TRACKING + RESPONSE + ARM),
        ),
    ),
    FitnessCode(
        "offset",
        "warn",
        "The wave does not swing about zero.",
        "Have the input looked at; switch the recorder's offset removal on.",
        "No reading uses 0 Hz, so nothing is spoiled; only headroom is lost.",
    ),
    FitnessCode(
        "channel_dead",
        "stop",
        "One channel holds nothing, next to nothing, or none of the tones (hum alone) through the whole recording.",
        "Check the tag clip, the headshell pins and the lead of that channel.",
        "What needs both channels or speaks of the dead one is lost; the other still tells speed and flutter.",
        (
            Spoil(TWO_CHANNELS + ARM),
            Spoil(LEVEL + HUM + RUMBLE + GROOVE_NOISE + CLICKS + DISTORTION + RESPONSE + TRACKING, "affected"),
        ),
    ),
    FitnessCode(
        "mono",
        "stop",
        "Both channels hold one and the same sound.",
        "Record in stereo, without any mono adaptor or mono switch.",
        "Nothing that compares the channels, and no vertical motion, is left in one sound.",
        (
            Spoil((*TWO_CHANNELS, *TRACKING, "arm_resonance_vertical")),
            Spoil(RUMBLE, "lateral and vertical"),
        ),
    ),
    FitnessCode(
        "inverted",
        "warn",
        "One channel is upside down against the other.",
        "Exchange the two wires of one channel at the cartridge.",
        "The sizes stay right; what needs the sign of the leak, and lateral against vertical, does not.",
        (
            Spoil(("azimuth_error", "symmetric_crosstalk", *ARM)),
            Spoil(RUMBLE, "lateral and vertical"),
        ),
    ),
    FitnessCode(
        "swapped",
        "warn",
        "Left and right have changed places by the disc's layout; without a layout only a suspicion, because the "
        "right-only band comes first and most discs cut left first.",
        "Exchange the two plugs, or the two pairs of wires at the cartridge, and compare with the disc's own notes.",
        "Every reading that says left or right may speak of the other one.",
        (
            Spoil(TWO_CHANNELS + TRACKING),
            Spoil(LEVEL + HUM + RUMBLE + GROOVE_NOISE + CLICKS + DISTORTION + RESPONSE, "affected"),
        ),
    ),
    FitnessCode(
        "gain_changes",
        "stop",
        "The recorder changed its gain while it recorded.",
        "Switch off automatic gain, limiter and noise suppression in recorder and system, then record again.",
        "Nothing that compares two moments or two bands by level can be trusted; pitch, and ratios between the two "
        "channels at one moment, survive only if both gains move together, which is not known.",
        (
            Spoil(TWO_CHANNELS + LEVEL + HUM + RUMBLE + GROOVE_NOISE + DISTORTION + TRACKING + RESPONSE + ARM),
        ),
    ),
    FitnessCode(
        "drop_out",
        "warn",
        "The sound stops for a moment and goes on.",
        "Close other programs, use another USB port or a larger buffer, and record again.",
        "The holes are bridged for speed and flutter; they look like clicks and break up noise and distortion.",
        (
            Spoil(HUM + RUMBLE + GROOVE_NOISE + CLICKS + DISTORTION, "affected"),
            Spoil(TRACKING),
        ),
    ),
    FitnessCode(
        "missing_samples",
        "warn",
        "Samples were lost: time jumps.",
        "Close other programs, use another USB port or a larger buffer, and record again.",
        "The phase is joined up for the carrier; what needs unbroken turns of the platter does not survive.",
        (
            Spoil((*ONCE_PER_TURN, "speed_drift", *TIMES)),
        ),
    ),
    FitnessCode(
        "wrong_sample_rate",
        "stop",
        "The rate stated in the file is not the rate it was recorded at, as the mains hum tells.",
        "Correct the rate in the file (nothing else), or record again with one rate set everywhere.",
        "Every frequency and every time is off by the same factor; levels of single tones are not.",
        (
            Spoil(SPEED + FLUTTER + MAINS + TIMES + ARM + RUMBLE + GROOVE_NOISE + CLICKS),
            Spoil(("disc_eccentricity", "response", "response_deviation", "load_resonance")),
        ),
    ),
    FitnessCode(
        "wrong_speed",
        "stop",
        "The deck ran at another of its speeds than the disc was cut for, or with the pulley of the other mains.",
        "Set the deck to the disc's speed and record again, or state the disc's speed. With the wrong pulley (exactly "
        "5/6 or 6/5 of the speed): fit the right one.",
        "All tones are shifted by more than a speed error can be: filters and equalisation do not fit. A wrong pulley "
        "is only noted, because the deck was set right and what it does is what is to be read.",
        (
            Spoil(SPEED + FLUTTER + ONCE_PER_TURN + RUMBLE + RESPONSE + ARM),
        ),
    ),
    FitnessCode(
        "nominal_doubt",
        "warn",
        "It cannot be told from this recording alone which frequency the disc was cut with.",
        "Name the disc layout, or record a second tone of the same disc.",
        "Only the mean speed hangs on the nominal frequency.",
        (
            Spoil(SPEED),
        ),
    ),
    FitnessCode(
        "hum_drowned",
        "stop",
        "The tone is drowned in hum.",
        "Cure the hum first (earth lead, clips, cable), then record again.",
        "A tone weaker than the hum beside it has neither a phase nor a level of its own; the hum itself can be read.",
        (
            Spoil(SPEED + FLUTTER + ONCE_PER_TURN + TWO_CHANNELS + LEVEL + DISTORTION + TRACKING + RESPONSE + ARM),
        ),
    ),
    FitnessCode(
        "too_short",
        "stop",
        "There is too little sound for the reading.",
        "Record a longer stretch: 40 s of a tone is enough for every reading.",
        "Filters need time to settle and slow motion needs several turns of the platter.",
        (
            Spoil(("speed_drift", *FLUTTER, *ONCE_PER_TURN, *RUMBLE, *CLICKS)),
        ),
    ),
    FitnessCode(
        "no_tone",
        "stop",
        "No steady tone was found.",
        "Play a test tone; for speed alone the run-out groove of any record will do.",
        "Whatever is read from a tone cannot be; hum, rumble and noise can.",
        (
            Spoil(SPEED + FLUTTER + ONCE_PER_TURN + TWO_CHANNELS + LEVEL + DISTORTION + TRACKING),
        ),
    ),
    FitnessCode(
        "many_ticks",
        "warn",
        "The groove ticks so often that little quiet sound is left between the ticks.",
        "Clean the disc and the stylus, then record again.",
        "Ticks are left out one by one; when few samples remain between them, noise readings have no ground.",
        (
            Spoil(GROOVE_NOISE + RUMBLE + FLUTTER),
        ),
    ),
    FitnessCode(
        "not_finite",
        "warn",
        "Samples of the file are no numbers.",
        "Save the recording again from the program that made it, or record again.",
        "Such samples are taken as silence: they tick, and may hide more.",
        (
            Spoil(CLICKS + GROOVE_NOISE + RUMBLE + HUM + DISTORTION, "affected"),
        ),
    ),
    FitnessCode(
        "truncated",
        "warn",
        "The file holds less sound than it promises, or was written to while it was read.",
        "Copy the file again, or record again.",
        "What is there is sound; bands that are missing give no readings anyway.",
    ),
)  # fmt: skip

FITNESS_CODES: dict[str, FitnessCode] = {entry.code: entry for entry in _TABLE}
"""All codes of the contract, by code."""

MIXED_CHANNELS = ("lateral", "vertical")


def spoils(item: FitnessItem, quantity: str, channel: str | None, bands: Collection[int] = ()) -> bool:
    """Whether ``item`` takes away a reading of ``quantity`` on ``channel`` from ``bands`` (empty: from the whole).

    Only a ``stop`` takes anything away. A reading of channel None is made from both channels.

    >>> stop = FitnessItem("clipped", "stop", "…", "left", bands=(3,))
    >>> spoils(stop, "channel_balance", None, (3, 4)), spoils(stop, "speed_deviation", None, (3,))
    (True, False)
    >>> spoils(stop, "hum", "right", (3,)), spoils(stop, "hum", "left", (5,))
    (False, False)
    """
    if item.severity != "stop":
        return False
    if item.bands and bands and not set(item.bands) & set(bands):
        return False
    return any(
        quantity in entry.quantities and _concerns(entry.channels, item.channel, channel)
        for entry in FITNESS_CODES[item.code].spoils
    )


def _concerns(rule: ChannelRule, affected: str | None, channel: str | None) -> bool:
    if rule == "any":
        return True
    if rule == "affected":
        return affected is None or channel is None or channel == affected or channel in MIXED_CHANNELS
    return channel in MIXED_CHANNELS


def stops(items: Iterable[FitnessItem], quantity: str, channel: str | None, bands: Collection[int] = ()) -> list[str]:
    """Codes of all items that take this reading away, each once, in the order given."""
    return list(dict.fromkeys(item.code for item in items if spoils(item, quantity, channel, bands)))
