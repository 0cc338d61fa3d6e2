"""``spindlewright disc learn``: name the bands found in a recording and keep them as this shop's disc."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, TypeVar

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json, Rpm, rpm_from
from spindlewright.cli.progress import progress_bar
from spindlewright.cli.questions import ask, can_ask
from spindlewright.cli.trouble import WrongUseError
from spindlewright.typed_numbers import number

if TYPE_CHECKING:
    from spindlewright.bands.band import Band, LayoutBand

Value = TypeVar("Value")
LEAVE_OUT = "-"
FREQUENCY_RANGE_HZ = (1.0, 60_000.0)
VELOCITY_RANGE_CM_S = (0.001, 200.0)
SPEED_ERROR_RANGE_PERCENT = (-10.0, 10.0)


Velocity = tuple[float, Literal["peak", "rms"]]
"""As the sleeve states it: cm/s, and how it is counted."""


@dataclass(frozen=True, slots=True)
class Sleeve:
    """What the user says of the disc as a whole."""

    rpm: float
    speed_error_percent: float
    speed_uncertainty_percent: float | None
    title: str


def learn(
    file: Annotated[Path, Parameter(help="Recording of the whole side of the disc.")],
    /,
    *,
    name: Annotated[str | None, Parameter(help="What this shop calls the disc.")] = None,
    title: Annotated[str, Parameter(help="A line about the disc, for the list.")] = "",
    band_name: Annotated[
        tuple[str, ...], Parameter(help='Name of a band by its number, like 3="Speed, inner"; - leaves the band out.')
    ] = (),
    nominal: Annotated[
        tuple[str, ...], Parameter(help="Nominal frequency of a band in Hz by its number, like 3=3150.")
    ] = (),
    velocity: Annotated[
        tuple[str, ...],
        Parameter(help="Velocity of a band in cm/s as the sleeve states it, like 3=5 (peak) or 3=3,5rms."),
    ] = (),
    reference: Annotated[int | None, Parameter(help="Number of the band that levels refer to.")] = None,
    rpm: Rpm = None,
    speed_error: Annotated[
        str | None,
        Parameter(help="Known speed error of this disc in %: so much high are its tones at exact speed."),
    ] = None,
    speed_uncertainty: Annotated[
        str | None, Parameter(help="How far that is known, half-width in percent (left out: ±0.1 is assumed).")
    ] = None,
    yes: Annotated[bool, Parameter(help="Ask nothing: take what was found and what the options say.")] = False,
    replace_disc: Annotated[bool, Parameter(name="--replace", help="Overwrite a disc of that name.")] = False,
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """List the bands found, ask for names, nominals, velocities and the disc's known error, and keep them."""
    from spindlewright.cli.known_discs import checked_name, keep_disc

    asking = can_ask() and not yes
    if name is not None:
        name = checked_name(name)
    elif not asking:
        raise WrongUseError("Nobody is there to be asked for the disc's name; give it with --name.")
    error = _percent("--speed-error", speed_error)
    sleeve = Sleeve(
        rpm=rpm_from(rpm) or 100.0 / 3.0,
        speed_error_percent=error or 0.0,
        speed_uncertainty_percent=_percent("--speed-uncertainty", speed_uncertainty, low=0.0),
        title=title,
    )
    found = _find(file, sleeve.rpm)
    names = _by_band("--band-name", band_name, found, str)
    nominals = _by_band("--nominal", nominal, found, lambda text: _within(number(text), FREQUENCY_RANGE_HZ, "Hz"))
    velocities = _by_band("--velocity", velocity, found, _velocity)
    if reference is not None:
        _known(reference, found, "--reference")
    if asking:
        name = name or ask("What do you call this disc?", checked_name)
        sys.stderr.write(f"For each band: its name. Return takes what is offered, {LEAVE_OUT} leaves the band out.\n")
        for band in found:
            _ask_band(band, names, nominals, velocities)
        if reference is None:
            reference = ask(
                "Number of the band that levels refer to (return: chosen by itself)", _optional_index(found)
            )
        if speed_error is None and speed_uncertainty is None:
            sleeve = _ask_errors(sleeve)
    bands = [
        _cut(band, names.get(band.index), nominals.get(band.index), velocities.get(band.index), reference)
        for band in found
        if names.get(band.index) != LEAVE_OUT
    ]
    return _keep(str(name), sleeve, bands, keep_disc, data, replace_disc, json)


def _find(file: Path, rpm: float) -> tuple[Band, ...]:
    from spindlewright.cli.paper import Paper
    from spindlewright.cli.printed_bands import print_bands
    from spindlewright.contract import band_object
    from spindlewright.measure import find_bands

    with progress_bar(file.name) as progress:
        found = find_bands(file, rpm=rpm, progress=progress)
    if not found:
        raise WrongUseError(f"{file}: no band was found, so there is nothing to learn. Record a side of a test disc.")
    print_bands(Paper(sys.stderr), [band_object(band) for band in found])
    return found


def _ask_band(band: Band, names: dict[int, str], nominals: dict[int, float], velocities: dict[int, Velocity]) -> None:
    """Ask what the options have not said of one band."""
    number_of = band.index
    if number_of not in names:
        names[number_of] = ask(f"Band {number_of}", str, default_name(band))
    if names[number_of] == LEAVE_OUT or band.nominal_hz is None:
        return
    if number_of not in nominals:
        offered = f"{band.nominal_hz:g}"
        nominals[number_of] = ask(
            "  nominal frequency in Hz", lambda text: _within(number(text), FREQUENCY_RANGE_HZ, "Hz"), offered
        )
    if number_of not in velocities:
        typed = ask(
            "  velocity in cm/s, peak; add rms if it is rms (return: not known)",
            lambda text: _velocity(text) if text else None,
        )
        if typed is not None:
            velocities[number_of] = typed


def _ask_errors(sleeve: Sleeve) -> Sleeve:
    error = ask("Known speed error of this disc in % (return: not known)", _optional(SPEED_ERROR_RANGE_PERCENT, "%"))
    if error is None:
        return sleeve
    spread = ask("  known to within ± %", lambda text: _within(number(text), (0.0, 10.0), "%"), "0.02")
    return replace(sleeve, speed_error_percent=error, speed_uncertainty_percent=spread)


def default_name(band: Band) -> str:
    """A name to offer: what the band holds, in words."""
    from spindlewright.cli.wording import KINDS

    words = {"silence": "silent groove", "run_out": "run-out groove"}.get(band.kind, KINDS[band.kind])
    if band.kind == "sweep" and band.from_hz and band.to_hz:
        return f"sweep {band.from_hz:.0f} to {band.to_hz:.0f} Hz"
    return f"{band.nominal_hz:g} Hz {words}" if band.nominal_hz else words


def _cut(
    band: Band, name: str | None, nominal_hz: float | None, velocity: Velocity | None, reference: int | None
) -> LayoutBand:
    from spindlewright.bands.band import LayoutBand

    start_hz = nominal_hz or band.nominal_hz
    if band.kind == "sweep":
        start_hz = nominal_hz or (band.from_hz and float(f"{band.from_hz:.2g}"))
    return LayoutBand(
        name=name or default_name(band),
        kind=band.kind,
        nominal_hz=start_hz,
        to_hz=float(f"{band.to_hz:.2g}") if band.kind == "sweep" and band.to_hz else None,
        duration_s=round(band.duration_s, 1),
        velocity_cm_s=velocity[0] if velocity else None,
        velocity=velocity[1] if velocity else "peak",
        reference=band.index == reference,
    )


def _keep(
    name: str,
    sleeve: Sleeve,
    bands: Sequence[LayoutBand],
    keep_disc: Callable[[str, str, Path | None, bool], Path],
    data: Path | None,
    replace_disc: bool,
    as_json: bool,
) -> int:
    from spindlewright.bands.layout import Layout, layout_from_toml, layout_to_toml

    if not bands:
        raise WrongUseError("Every band was left out, so there is nothing to keep.")
    layout = Layout(
        name=name,
        bands=tuple(bands),
        rpm=sleeve.rpm,
        speed_uncertainty_percent=sleeve.speed_uncertainty_percent,
        speed_error_percent=sleeve.speed_error_percent,
        title=sleeve.title,
    )
    toml = layout_to_toml(layout)
    layout_from_toml(toml, name)
    kept = keep_disc(name, toml, data, replace_disc)
    if as_json:
        from spindlewright.contract import plain, to_json_line

        sys.stdout.write(to_json_line({**plain(asdict(layout)), "file": str(kept)}) + "\n")
        return 0
    print(f"Kept {name!r} with {len(bands)} bands in {kept}. Use it with: --layout {_for_shell(name)}")
    return 0


def _for_shell(name: str) -> str:
    import shlex

    return shlex.quote(name)


def _by_band(
    option: str, entries: Sequence[str], found: Sequence[Band], read: Callable[[str], Value]
) -> dict[int, Value]:
    """``NUMBER=VALUE`` entries of one option by band number."""
    values: dict[int, Value] = {}
    for entry in entries:
        index, equals, text = entry.partition("=")
        if not equals or not index.strip().isdecimal():
            raise WrongUseError(f"{option}: {entry!r} must be a band's number, an equals sign and a value, like 3=…")
        try:
            values[_known(int(index), found, option)] = read(text.strip())
        except ValueError as problem:
            raise WrongUseError(str(problem) if str(problem).startswith(option) else f"{option}: {problem}.") from None
    return values


def _known(index: int, found: Sequence[Band], option: str) -> int:
    if index not in {band.index for band in found}:
        numbers = f"0 to {len(found) - 1}"
        raise WrongUseError(f"{option}: there is no band {index}; the bands found have the numbers {numbers}.")
    return index


def _percent(option: str, text: str | None, low: float = SPEED_ERROR_RANGE_PERCENT[0]) -> float | None:
    if text is None:
        return None
    try:
        return _within(number(text.strip().removesuffix("%")), (low, SPEED_ERROR_RANGE_PERCENT[1]), "%")
    except ValueError as problem:
        raise WrongUseError(f"{option}: {problem}.") from None


def _within(value: float, allowed: tuple[float, float], unit: str) -> float:
    low, high = allowed
    if not low <= value <= high:
        raise ValueError(f"{value:g} {unit} is not possible; allowed is {low:g} to {high:g} {unit}")
    return value


def _velocity(text: str) -> Velocity:
    """``5``, ``5 peak`` or ``3,5rms``."""
    words = text.strip().removesuffix("cm/s").strip()
    counted: Literal["peak", "rms"] = "rms" if words.endswith("rms") else "peak"
    digits = words.removesuffix("rms").removesuffix("peak").strip().removesuffix("cm/s")
    return _within(number(digits), VELOCITY_RANGE_CM_S, "cm/s"), counted


def _optional(allowed: tuple[float, float], unit: str) -> Callable[[str], float | None]:
    return lambda text: _within(number(text), allowed, unit) if text else None


def _optional_index(found: Sequence[Band]) -> Callable[[str], int | None]:
    def read(text: str) -> int | None:
        if not text:
            return None
        if not text.isdecimal():
            raise ValueError(f"{text!r} is not a band's number")
        return _known(int(text), found, "band")

    return read
