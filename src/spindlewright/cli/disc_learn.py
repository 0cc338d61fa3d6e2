"""``spindlewright disc learn``: name the bands found in a recording and keep them as this shop's disc."""

from __future__ import annotations

import shlex
import sys
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from spindlewright.cli.band_answers import (
    Velocity,
    by_band,
    nominal_from,
    optional_index,
    percent,
    percent_from,
    velocity_from,
)
from spindlewright.cli.options import DataFolder, Json, Rpm, rpm_from
from spindlewright.cli.progress import progress_bar
from spindlewright.cli.questions import ask, can_ask
from spindlewright.cli.trouble import WrongUseError

if TYPE_CHECKING:
    from spindlewright.bands.band import Band
    from spindlewright.bands.layout import Layout
    from spindlewright.bands.learning import ToldOfDisc

LEAVE_OUT = "-"


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
    from spindlewright.bands.learning import ToldOfBand, ToldOfDisc, checked_disc_name, known_band, learnt_layout

    asking = can_ask() and not yes
    if name is not None:
        name = checked_disc_name(name)
    elif not asking:
        raise WrongUseError("Nobody is there to be asked for the disc's name; give it with --name.")
    of_disc = ToldOfDisc(
        rpm=rpm_from(rpm) or 100.0 / 3.0,
        speed_error_percent=percent("--speed-error", "speed_error_percent", speed_error) or 0.0,
        speed_uncertainty_percent=percent("--speed-uncertainty", "speed_uncertainty_percent", speed_uncertainty),
        title=title,
        reference=reference,
    )
    found = _find(file, of_disc.rpm)
    names = by_band("--band-name", band_name, found, str)
    nominals = by_band("--nominal", nominal, found, nominal_from)
    velocities = by_band("--velocity", velocity, found, velocity_from)
    if reference is not None:
        known_band(reference, found)
    if asking:
        name = name or ask("What do you call this disc?", checked_disc_name)
        sys.stderr.write(f"For each band: its name. Return takes what is offered, {LEAVE_OUT} leaves the band out.\n")
        for band in found:
            _ask_band(band, names, nominals, velocities)
        if reference is None:
            chosen = ask("Number of the band that levels refer to (return: chosen by itself)", optional_index(found))
            of_disc = replace(of_disc, reference=chosen)
        if speed_error is None and speed_uncertainty is None:
            of_disc = _ask_errors(of_disc)
    of_bands = {
        band.index: ToldOfBand(
            name=names.get(band.index),
            nominal_hz=nominals.get(band.index),
            velocity_cm_s=velocities[band.index][0] if band.index in velocities else None,
            velocity=velocities[band.index][1] if band.index in velocities else "peak",
            left_out=names.get(band.index) == LEAVE_OUT,
        )
        for band in found
    }
    return _keep(learnt_layout(str(name), found, of_bands, of_disc), data, replace_disc, json)


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
    from spindlewright.bands.learning import offered_name

    number_of = band.index
    if number_of not in names:
        names[number_of] = ask(f"Band {number_of}", str, offered_name(band))
    if names[number_of] == LEAVE_OUT or band.nominal_hz is None:
        return
    if number_of not in nominals:
        offered = f"{band.nominal_hz:g}"
        nominals[number_of] = ask("  nominal frequency in Hz", nominal_from, offered)
    if number_of not in velocities:
        typed = ask(
            "  velocity in cm/s, peak; add rms if it is rms (return: not known)",
            lambda text: velocity_from(text) if text else None,
        )
        if typed is not None:
            velocities[number_of] = typed


def _ask_errors(of_disc: ToldOfDisc) -> ToldOfDisc:
    error = ask(
        "Known speed error of this disc in % (return: not known)",
        lambda text: percent_from("speed_error_percent", text) if text else None,
    )
    if error is None:
        return of_disc
    spread = ask("  known to within ± %", lambda text: percent_from("speed_uncertainty_percent", text), "0.02")
    return replace(of_disc, speed_error_percent=error, speed_uncertainty_percent=spread)


def _keep(layout: Layout, data: Path | None, replace_disc: bool, as_json: bool) -> int:
    from spindlewright.bands.layout import layout_to_toml
    from spindlewright.cli.known_discs import keep_disc

    kept = keep_disc(layout.name, layout_to_toml(layout), data, replace_disc)
    if as_json:
        from spindlewright.contract import plain, to_json_line

        sys.stdout.write(to_json_line({**plain(asdict(layout)), "file": str(kept)}) + "\n")
        return 0
    name, bands = shlex.quote(layout.name), len(layout.bands)
    print(f"Kept {layout.name!r} with {bands} bands in {kept}. Use it with: --layout {name}")
    return 0
