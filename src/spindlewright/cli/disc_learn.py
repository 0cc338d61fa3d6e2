"""``spindlewright disc learn``: name the bands found in a recording and keep them as this shop's disc."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from spindlewright.cli.band_answers import (
    FREQUENCY_RANGE_HZ,
    SPEED_ERROR_RANGE_PERCENT,
    Velocity,
    by_band,
    known,
    optional,
    optional_index,
    percent,
    velocity_from,
    within,
)
from spindlewright.cli.options import DataFolder, Json, Rpm, rpm_from
from spindlewright.cli.progress import progress_bar
from spindlewright.cli.questions import ask, can_ask
from spindlewright.cli.trouble import WrongUseError
from spindlewright.typed_numbers import number

if TYPE_CHECKING:
    from spindlewright.bands.band import Band, LayoutBand

LEAVE_OUT = "-"


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
    error = percent("--speed-error", speed_error)
    sleeve = Sleeve(
        rpm=rpm_from(rpm) or 100.0 / 3.0,
        speed_error_percent=error or 0.0,
        speed_uncertainty_percent=percent("--speed-uncertainty", speed_uncertainty, low=0.0),
        title=title,
    )
    found = _find(file, sleeve.rpm)
    names = by_band("--band-name", band_name, found, str)
    nominals = by_band("--nominal", nominal, found, lambda text: within(number(text), FREQUENCY_RANGE_HZ, "Hz"))
    velocities = by_band("--velocity", velocity, found, velocity_from)
    if reference is not None:
        known(reference, found, "--reference")
    if asking:
        name = name or ask("What do you call this disc?", checked_name)
        sys.stderr.write(f"For each band: its name. Return takes what is offered, {LEAVE_OUT} leaves the band out.\n")
        for band in found:
            _ask_band(band, names, nominals, velocities)
        if reference is None:
            reference = ask(
                "Number of the band that levels refer to (return: chosen by itself)", optional_index(found)
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
            "  nominal frequency in Hz", lambda text: within(number(text), FREQUENCY_RANGE_HZ, "Hz"), offered
        )
    if number_of not in velocities:
        typed = ask(
            "  velocity in cm/s, peak; add rms if it is rms (return: not known)",
            lambda text: velocity_from(text) if text else None,
        )
        if typed is not None:
            velocities[number_of] = typed


def _ask_errors(sleeve: Sleeve) -> Sleeve:
    error = ask("Known speed error of this disc in % (return: not known)", optional(SPEED_ERROR_RANGE_PERCENT, "%"))
    if error is None:
        return sleeve
    spread = ask("  known to within ± %", lambda text: within(number(text), (0.0, 10.0), "%"), "0.02")
    return replace(sleeve, speed_error_percent=error, speed_uncertainty_percent=spread)


def default_name(band: Band) -> str:
    """A name to offer: what the band holds, in words."""
    from spindlewright.wording import KINDS

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
