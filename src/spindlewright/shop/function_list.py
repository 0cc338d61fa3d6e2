"""What is tried and listened to on every deck, as data: functions before and after, listening at the end.

Source: intake and hand-back checks of the trade, common practice.
"""

from __future__ import annotations

FUNCTION_ANSWERS = ("works", "does not", "not there")
TICK_ANSWERS = ("good", "not good", "does not apply")

SPEED_FUNCTION = "speed_"
"""Key of a speed's function begins with this, the nominal rpm follows: ``speed_33``."""

FUNCTIONS_FIRST = (("start", "Start"), ("stop", "Stop"))
FUNCTIONS_LAST = (
    ("lift_up", "Lift up"),
    ("lift_down", "Lift down"),
    ("set_down", "Set-down by the automatic"),
    ("return", "Return at the end"),
    ("mute", "Mute while the arm moves"),
    ("lid", "Lid and hinges"),
    ("feet", "Feet"),
)

LISTENING = (
    ("first_record_first_track", "First record, first track"),
    ("first_record_last_track", "First record, last track"),
    ("second_record_first_track", "Second record, first track"),
    ("second_record_last_track", "Second record, last track"),
    ("mono_voice", "A mono voice: in the middle, and full"),
    ("quiet_passage", "A quiet passage: hum, rumble, ticks"),
    ("left_alone", "Left channel alone"),
    ("right_alone", "Right channel alone"),
)


def functions_for(speeds_rpm: tuple[float, ...]) -> tuple[tuple[str, str], ...]:
    """Key and words of each function to try on a deck with these speeds.

    >>> [key for key, _ in functions_for((33.333333, 45.0))][:4]
    ['start', 'stop', 'speed_33', 'speed_45']
    """
    speeds = [(speed_key(rpm), f"Speed {speed_name(rpm)}") for rpm in speeds_rpm]
    return (*FUNCTIONS_FIRST, *speeds, *FUNCTIONS_LAST)


def speed_key(rpm: float) -> str:
    """Key of one speed's function."""
    return SPEED_FUNCTION + f"{int(rpm) if abs(rpm - int(rpm)) < 0.5 else round(rpm, 1)}"


def speed_name(rpm: float) -> str:
    """A speed as the trade says it: 33⅓, 45, 78, 16⅔, else the number."""
    names = {33.333: "33⅓", 16.667: "16⅔", 78.261: "78", 77.922: "78"}
    return names.get(round(rpm, 3), f"{rpm:g}")
