"""What a deck is and what can be turned on it, so that no move is advised that this deck can't make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, get_args

Drive = Literal["belt", "idler", "direct", "unknown"]
Motor = Literal["synchronous", "induction", "dc", "servo", "unknown"]
Arm = Literal["pivoted", "unipivot", "plug-in", "linear", "unknown"]
SpeedTrim = Literal["none", "shared", "per_speed", "inside_motor", "unknown"]
Adjustable = Literal["fixed", "adjustable", "unknown"]


class AbilityError(ValueError):
    """A fact about the deck that is not one of those allowed; the message lists them."""


@dataclass(frozen=True, slots=True)
class DeckAbilities:
    """``plate_frequency_hz`` is what the deck's plate says, ``mains_hz`` the mains of the bench; ``dimensions`` as in
    ``rotating_parts.DIMENSIONS``. Unknown is always allowed; moves then say what to look at first.

    Raises AbilityError for a word that is not allowed.

    >>> DeckAbilities(drive="belt", motor="synchronous", speed_trim="none").azimuth
    'unknown'
    """

    drive: Drive = "unknown"
    motor: Motor = "unknown"
    arm: Arm = "unknown"
    automatic: bool = False
    speed_trim: SpeedTrim = "unknown"
    azimuth: Adjustable = "unknown"
    height: Adjustable = "unknown"
    anti_skate: Adjustable = "unknown"
    plate_voltage_v: float | None = None
    plate_frequency_hz: float | None = None
    mains_hz: float | None = None
    dimensions: Mapping[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for name, allowed in _ALLOWED.items():
            found = getattr(self, name)
            if found not in allowed:
                raise AbilityError(
                    f"deck, {name.replace('_', ' ')}: found '{found}', allowed are {', '.join(allowed)}"
                )


_ALLOWED: Mapping[str, tuple[str, ...]] = {
    "drive": get_args(Drive),
    "motor": get_args(Motor),
    "arm": get_args(Arm),
    "speed_trim": get_args(SpeedTrim),
    "azimuth": get_args(Adjustable),
    "height": get_args(Adjustable),
    "anti_skate": get_args(Adjustable),
}


def deck_abilities(
    *,
    drive: str = "unknown",
    motor: str = "unknown",
    arm: str = "unknown",
    automatic: bool = False,
    abilities: Mapping[str, str] | None = None,
    dimensions: Mapping[str, Any] | None = None,
    plate_voltage_v: float | None = None,
    plate_frequency_hz: float | None = None,
    mains_hz: float | None = None,
) -> DeckAbilities:
    """The abilities from what a shop keeps of a deck: plain words, empty ones meaning unknown."""
    known = {name: word for name, word in (abilities or {}).items() if name in _ALLOWED and word}
    words: dict[str, Any] = {
        "drive": drive or "unknown",
        "motor": motor or "unknown",
        "arm": arm or "unknown",
        **known,
    }
    return DeckAbilities(
        automatic=automatic,
        plate_voltage_v=plate_voltage_v,
        plate_frequency_hz=plate_frequency_hz,
        mains_hz=mains_hz,
        dimensions=dict(dimensions or {}),
        **words,
    )
