"""Options that several commands share: their help, and turning what was typed into values."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, TypeVar

from cyclopts import Parameter

from spindlewright import typed_numbers
from spindlewright.cli.trouble import WrongUseError

if TYPE_CHECKING:
    from spindlewright.bands.layout import Layout
    from spindlewright.readings.side import Arm
    from spindlewright.standards.limits import LimitSet

Value = TypeVar("Value")

Rpm = Annotated[
    str | None,
    Parameter(help="Speed the disc was cut for: 33, 45, 78 or a number (default: the layout's, else 33⅓)."),
]
LayoutName = Annotated[
    str | None,
    Parameter(help='Disc layout: a name from "spindlewright disc list", or a TOML file.'),
]
Mains = Annotated[
    Literal["50", "60"] | None, Parameter(help="Mains frequency in Hz, when the hum shall be told by it.")
]
Json = Annotated[bool, Parameter(help="Print JSON Lines and nothing else.")]
DataFolder = Annotated[
    Path | None,
    Parameter(
        name="--data",
        env_var="SPINDLEWRIGHT_DATA",
        help="Folder of this shop's own data (default: your user data folder).",
    ),
]


def typed(option: str, text: str | None, read: Callable[[str], Value]) -> Value | None:
    """``read(text)``, an error naming the option; None stays None."""
    if text is None:
        return None
    try:
        return read(text)
    except ValueError as problem:
        raise WrongUseError(f"{option}: {problem}.") from None


def rpm_from(text: str | None) -> float | None:
    """Nominal speed from ``--rpm``."""
    return typed("--rpm", text, typed_numbers.rpm)


def arm_from(text: str | None) -> Arm | None:
    """The arm from ``--arm``; the effective length is the longer of the two on a pivoted arm."""
    lengths = typed("--arm", text, typed_numbers.pair_of_lengths_mm)
    if lengths is None:
        return None
    from spindlewright.readings.side import Arm

    effective_length, pivot_to_spindle = lengths
    if not 50.0 <= pivot_to_spindle < effective_length <= 600.0:
        raise WrongUseError(
            f"--arm: effective length {effective_length:g} mm and pivot to spindle {pivot_to_spindle:g} mm do not "
            "make an arm; give the effective length first, it is the longer one, like 230mm,212mm."
        )
    return Arm(effective_length, pivot_to_spindle)


def layout_from(text: str | None, data: Path | None) -> Layout | None:
    """The disc layout from ``--layout``: a known disc's name, or a file."""
    if text is None:
        return None
    from spindlewright.cli.known_discs import find_layout

    return find_layout(text, data)


def limits_from(text: str | None) -> LimitSet | None:
    """The set of limits from ``--limits``: a name, or a TOML file."""
    if text is None:
        return None
    from spindlewright.cli.limit_files import find_limit_set

    return find_limit_set(text)
