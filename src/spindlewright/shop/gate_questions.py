"""The three gates and their questions, as data: each is answered by one key, before any reading is taken.

Yes is always the safe answer. Which answers close a gate, why, and what opens it again stands beside the question.
Source: intake checks of the trade, common practice; no standard. Local codes and licensed practice come first.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from spindlewright.shop.views.stages import GateKey

YES, NO, DOES_NOT_APPLY = "yes", "no", "does_not_apply"
YES_NO = (YES, NO, DOES_NOT_APPLY)
TURNED_BY_HAND = ("smooth", "dry", "rough", "rubs", DOES_NOT_APPLY)
SHORT_ANSWERS = ("dry", "rough")
"""Answers that leave the gate open for one short cold take."""
SHORT_TAKE_S = 60.0
"""Longest take from a deck that turns dry or rough."""
COLD_SHORT = "cold, short"


@dataclass(frozen=True, slots=True)
class Question:
    """One question. ``closing`` maps an answer that closes the gate to why; ``opens_with`` says what cures it."""

    key: str
    words: str
    closing: Mapping[str, str]
    opens_with: str
    answers: tuple[str, ...] = YES_NO


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate. ``closes`` maps keys of what may not be done while it is not open to words."""

    key: GateKey
    title: str
    closes: Mapping[str, str]
    questions: tuple[Question, ...] = field(default=())

    def question(self, key: str) -> Question | None:
        """The question with this key."""
        return next((question for question in self.questions if question.key == key), None)


def _no(why: str) -> Mapping[str, str]:
    return MappingProxyType({NO: why})


_PLAYED = {"recordings": "recordings of a disc", "listening": "listening"}
_TURNING = {
    **_PLAYED,
    "speed_by_counted_turns": "speed by counted turns",
    "start_time": "start time",
    "coast_down_time": "coast-down time",
    "functions": "functions",
    "soak_run": "soak run",
}
_PLUGGED = {**_TURNING, "recordings_lifted": "recordings with the arm lifted"}

GATES: tuple[Gate, ...] = (
    Gate(
        "plug_in",
        "Fit to plug in?",
        MappingProxyType(_PLUGGED),
        (
            Question(
                "lead",
                "Mains lead whole, and held firmly where it goes in?",
                _no("the mains lead is damaged or loose"),
                "renew or secure the mains lead",
            ),
            Question(
                "plug",
                "Plug whole, no pin bent or loose?",
                _no("the plug is damaged"),
                "renew the plug",
            ),
            Question(
                "fuse",
                "Fuses there, and of the right value?",
                _no("a fuse is missing or of the wrong value"),
                "fit the fuse that the plate or the service data name",
            ),
            Question(
                "burning",
                "Free of any sign of burning, inside and out?",
                _no("there are signs of burning"),
                "find what burned and cure it",
            ),
            Question(
                "covers",
                "All covers on, nothing live within reach?",
                _no("a cover is missing over live parts"),
                "put the covers on",
            ),
            Question(
                "plate_voltage",
                "Does the voltage on the plate agree with the mains here?",
                _no("the voltage on the plate is not that of the mains here"),
                "set the voltage selector, or use a transformer of the right voltage",
            ),
            Question(
                "class",
                "Protection class known, and the lead right for it (class I earthed, class II two squares)?",
                _no("the lead does not suit the protection class"),
                "fit a lead with earth for class I, and measure the protective earth; never lift an earth",
            ),
        ),
    ),
    Gate(
        "run",
        "Fit to run?",
        MappingProxyType(_TURNING),
        (
            Question(
                "turned_by_hand",
                "Platter turned by hand, unplugged: how does it turn?",
                MappingProxyType({"rubs": "something rubs when the platter is turned by hand"}),
                "find what rubs and free it",
                TURNED_BY_HAND,
            ),
            Question(
                "belt",
                "Belt or idler whole: not melted, torn or off its place?",
                _no("the belt or idler is not whole"),
                "clean the path and fit a new one",
            ),
        ),
    ),
    Gate(
        "play",
        "Fit to play?",
        MappingProxyType(_PLAYED),
        (
            Question(
                "tip",
                "Tip looked at under magnification, and whole?",
                _no("the tip is missing, worn or not yet seen"),
                "renew the tip, or use the shop's own headshell and name it",
            ),
            Question(
                "cantilever",
                "Cantilever straight, seen from the front and the side?",
                _no("the cantilever is bent or missing"),
                "renew the stylus, or use the shop's own headshell and name it",
            ),
            Question(
                "force",
                "Tracking force read on a scale, and within what the cartridge stands?",
                _no("the tracking force is not known to be right"),
                "set the tracking force with a scale",
            ),
            Question(
                "arm_floats",
                "Does the arm float freely in both directions?",
                _no("the arm does not move freely"),
                "free the arm's bearings and wires",
            ),
        ),
    ),
)


def gate_of(key: str) -> Gate | None:
    """The gate with this key."""
    return next((gate for gate in GATES if gate.key == key), None)


def step_of(gate: str, question: str) -> str:
    """The key by which the table of cautions knows a question."""
    return f"gate.{gate}.{question}"
