"""What the user says of one band or of a disc's errors: read, checked, refused with what is allowed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Literal, TypeVar

from spindlewright.cli.trouble import WrongUseError
from spindlewright.typed_numbers import number

if TYPE_CHECKING:
    from spindlewright.bands.band import Band

Value = TypeVar("Value")
FREQUENCY_RANGE_HZ = (1.0, 60_000.0)
VELOCITY_RANGE_CM_S = (0.001, 200.0)
SPEED_ERROR_RANGE_PERCENT = (-10.0, 10.0)
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
            values[known(int(index), found, option)] = read(text.strip())
        except ValueError as problem:
            raise WrongUseError(str(problem) if str(problem).startswith(option) else f"{option}: {problem}.") from None
    return values


def known(index: int, found: Sequence[Band], option: str) -> int:
    """``index`` when there is such a band."""
    if index not in {band.index for band in found}:
        numbers = f"0 to {len(found) - 1}"
        raise WrongUseError(f"{option}: there is no band {index}; the bands found have the numbers {numbers}.")
    return index


def percent(option: str, text: str | None, low: float = SPEED_ERROR_RANGE_PERCENT[0]) -> float | None:
    """Percent of an option, from ``low`` up; None stays None."""
    if text is None:
        return None
    try:
        return within(number(text.strip().removesuffix("%")), (low, SPEED_ERROR_RANGE_PERCENT[1]), "%")
    except ValueError as problem:
        raise WrongUseError(f"{option}: {problem}.") from None


def within(value: float, allowed: tuple[float, float], unit: str) -> float:
    """``value`` when it lies in the range."""
    low, high = allowed
    if not low <= value <= high:
        raise ValueError(f"{value:g} {unit} is not possible; allowed is {low:g} to {high:g} {unit}")
    return value


def velocity_from(text: str) -> Velocity:
    """``5``, ``5 peak`` or ``3,5rms``."""
    words = text.strip().removesuffix("cm/s").strip()
    counted: Literal["peak", "rms"] = "rms" if words.endswith("rms") else "peak"
    digits = words.removesuffix("rms").removesuffix("peak").strip().removesuffix("cm/s")
    return within(number(digits), VELOCITY_RANGE_CM_S, "cm/s"), counted


def optional(allowed: tuple[float, float], unit: str) -> Callable[[str], float | None]:
    """Reader of a number that may be left out."""
    return lambda text: within(number(text), allowed, unit) if text else None


def optional_index(found: Sequence[Band]) -> Callable[[str], int | None]:
    """Reader of a band's number that may be left out."""

    def read(text: str) -> int | None:
        if not text:
            return None
        if not text.isdecimal():
            raise ValueError(f"{text!r} is not a band's number")
        return known(int(text), found, "band")

    return read
