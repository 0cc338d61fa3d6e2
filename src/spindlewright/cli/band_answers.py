"""What the user types about one band or a disc's errors: read here, held against what a layout allows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Literal, TypeVar

from spindlewright.bands.learning import in_range, known_band
from spindlewright.cli.trouble import WrongUseError
from spindlewright.typed_numbers import number

if TYPE_CHECKING:
    from spindlewright.bands.band import Band

Value = TypeVar("Value")
Velocity = tuple[float, Literal["peak", "rms"]]
"""As the sleeve states it: cm/s, and how it is counted."""


def by_band(
    option: str, entries: Sequence[str], found: Sequence[Band], read: Callable[[str], Value]
) -> dict[int, Value]:
    """``NUMBER=VALUE`` entries of one option by band number."""
    values: dict[int, Value] = {}
    for entry in entries:
        index, equals, text = entry.partition("=")
        if not equals or not index.strip().isdecimal():
            raise WrongUseError(f"{option}: {entry!r} must be a band's number, an equals sign and a value, like 3=…")
        try:
            values[known_band(int(index), found)] = read(text.strip())
        except ValueError as problem:
            raise WrongUseError(f"{option}: {problem}.") from None
    return values


def percent(option: str, key: str, text: str | None) -> float | None:
    """Percent of an option, as the layout's ``key`` allows it; None stays None."""
    if text is None:
        return None
    try:
        return percent_from(key, text)
    except ValueError as problem:
        raise WrongUseError(f"{option}: {problem}.") from None


def percent_from(key: str, text: str) -> float:
    """``0,05`` or ``0.05%``."""
    return in_range(key, number(text.strip().removesuffix("%")), "%")


def nominal_from(text: str) -> float:
    """A frequency in Hz."""
    return in_range("nominal_hz", number(text), "Hz")


def velocity_from(text: str) -> Velocity:
    """``5``, ``5 peak`` or ``3,5rms``."""
    words = text.strip().removesuffix("cm/s").strip()
    counted: Literal["peak", "rms"] = "rms" if words.endswith("rms") else "peak"
    digits = words.removesuffix("rms").removesuffix("peak").strip().removesuffix("cm/s")
    return in_range("velocity_cm_s", number(digits), "cm/s"), counted


def optional_index(found: Sequence[Band]) -> Callable[[str], int | None]:
    """Reader of a band's number that may be left out."""

    def read(text: str) -> int | None:
        if not text:
            return None
        if not text.isdecimal():
            raise ValueError(f"{text!r} is not a band's number")
        return known_band(int(text), found)

    return read
