"""What the owner is told, in words that need no knowledge of the trade.

Wording by the cause that the readings pointed to, by what the comparison showed, and by the deck's drive. The advice
on care is common practice, no source; the home check is derived (100 turns at 33⅓ rpm take exactly 180 s).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

CAUSES: Mapping[str, str] = MappingProxyType(
    {
        "drive": "Something in the drive slipped or dragged, so it could not hold its speed.",
        "idler": "Something in the drive slipped or dragged, so it could not hold its speed.",
        "rotating_part": "A turning part of the drive was out of round, so the pitch wavered each time it came round.",
        "other_mains_pulley": "It was fitted for the mains of another country, so it turned at the wrong speed.",
        "speed_trim": "Its speed was not set right.",
        "wiring": "Two wires at the cartridge were exchanged: the two sides worked against each other.",
        "hum": "It hummed, as it does when one of the thin wires to the cartridge makes poor contact.",
        "motor_mounts": "The motor shook the deck, which could be heard as a low tone.",
        "rumble": "It rumbled: a low noise from turning parts got into the sound.",
        "azimuth": "The cartridge leaned to one side, so left and right were not kept well apart.",
        "balance": "One side was louder than the other.",
    }
)
"""By the key of a next move."""

SUBJECTS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "speed_deviation": ("Pitch and tempo", "how far the speed is off"),
        "wow_flutter_weighted": ("Steadiness of the pitch", "how far the pitch wavers"),
        "azimuth_error": ("Uprightness of the cartridge", "how far it leans"),
        "channel_balance": ("Left and right equally loud", "how far they differ"),
        "start_time": ("Getting up to speed", "how long it takes"),
        "hum": ("Hum", ""),
        "rumble_unweighted": ("Rumble", ""),
        "surface_noise": ("Crackle and hiss", ""),
    }
)
"""What the owner can hear of a quantity, in the order of the page, and what its bar shows (empty: no bar, since the
length of a bar means nothing for a level in decibels)."""

OUTCOMES: Mapping[str, str] = MappingProxyType(
    {
        "better": "better",
        "worse": "not as good as before",
        "changed": "changed",
        "no change shown": "no difference could be measured",
    }
)

CARE_ALWAYS = (
    "Brush the stylus from back to front, never sideways, and put its guard on when you have finished.",
    "Let the deck stand level and firm, away from loudspeakers, heat and sunlight.",
    "Dust the lid with a damp cloth only; no spirit, no polish.",
)
CARE_BY_DRIVE: Mapping[str, str] = MappingProxyType(
    {
        "belt": "Keep fingers off the belt: grease makes it slip. If the speed wanders again, the belt is worn.",
        "idler": (
            "When you have finished, put the speed lever to neutral. Left engaged, the rubber wheel gets a flat again."
        ),
        "direct": "The motor needs no care. Lift the platter only with the plug pulled.",
    }
)
MEND = "Pull the plug before you lift the platter or anything under it."

_HOME_TURNS: Mapping[int, tuple[str, int, int, int]] = MappingProxyType(
    {33: ("33⅓", 100, 180, 2), 45: ("45", 90, 120, 2), 78: ("78", 130, 100, 1), 16: ("16⅔", 50, 180, 2)}
)
"""Turns to count, the seconds they take at that speed, and how many more or fewer (about 1 %) are still right."""


def home_check(speeds_rpm: tuple[float, ...]) -> tuple[str, ...]:
    """One check to make at home, as steps: count the turns against a clock. Empty for a deck of other speeds.

    >>> home_check((33.333333, 45.0))[2]
    'Count 100 turns. They should take 3 minutes (180 seconds).'
    """
    speed = next((rpm for rpm in speeds_rpm if int(rpm) in _HOME_TURNS), None)
    if speed is None:
        return ()
    name, turns, seconds, slack = _HOME_TURNS[int(speed)]
    minutes, rest = divmod(seconds, 60)
    long_form = f"{minutes} minutes ({seconds} seconds)" if not rest else f"{seconds} seconds"
    return (
        "Stick a bit of paper to the edge of the platter, and leave the arm on its rest or lifted.",
        f"Let it run at {name} for a minute. Start a stop clock when the paper passes, and count from there.",
        f"Count {turns} turns. They should take {long_form}.",
        f"From {seconds - slack} to {seconds + slack} seconds all is well. If not, let us know.",
    )
