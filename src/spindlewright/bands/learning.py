"""Making a disc layout of the bands found in a recording and of what the shop says about them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from spindlewright.bands.band import Band, LayoutBand
from spindlewright.bands.layout import RANGES, Layout, LayoutError, layout_from_toml, layout_to_toml
from spindlewright.wording import KINDS

LONGEST_NAME = 80
NOT_IN_NAMES = frozenset('<>:"/\\|?*')


@dataclass(frozen=True, slots=True)
class ToldOfBand:
    """What the user says of one band; None: nothing, so what was found stands.

    ``velocity_cm_s`` as the sleeve states it, counted as ``velocity``; ``left_out`` keeps the band out of the layout.
    """

    name: str | None = None
    nominal_hz: float | None = None
    velocity_cm_s: float | None = None
    velocity: Literal["peak", "rms"] = "peak"
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class ToldOfDisc:
    """What the user says of the disc as a whole.

    ``speed_error_percent`` is by how much its tones are too high at the exact speed, known to within
    ``speed_uncertainty_percent`` (half-width, None: not stated); ``reference`` is the number of the band that levels
    refer to.
    """

    rpm: float = 100.0 / 3.0
    speed_error_percent: float = 0.0
    speed_uncertainty_percent: float | None = None
    title: str = ""
    reference: int | None = None


def learnt_layout(name: str, found: Sequence[Band], of_bands: Mapping[int, ToldOfBand], of_disc: ToldOfDisc) -> Layout:
    """The layout of a disc from its bands as found, by number, and what was told of them and of the disc.

    Raises LayoutError for a number that no band has, a value outside ``layout.RANGES`` or when nothing is left.

    >>> from spindlewright.bands.band import Levels
    >>> tone = Band(0, 2.0, 62.0, "tone", Levels(-15.0, -15.0), 3140.0, 3150.0)
    >>> learnt_layout("blue sleeve", [tone], {0: ToldOfBand(velocity_cm_s=3.5)}, ToldOfDisc()).bands[0].name
    '3150 Hz tone'
    """
    for index in (*of_bands, *(() if of_disc.reference is None else (of_disc.reference,))):
        known_band(index, found)
    bands = tuple(
        _cut(band, told, band.index == of_disc.reference)
        for band in found
        if not (told := of_bands.get(band.index, ToldOfBand())).left_out
    )
    if not bands:
        raise LayoutError("Every band was left out, so there is nothing to keep.")
    layout = Layout(
        name=checked_disc_name(name),
        bands=bands,
        rpm=of_disc.rpm,
        speed_uncertainty_percent=of_disc.speed_uncertainty_percent,
        speed_error_percent=of_disc.speed_error_percent,
        title=of_disc.title,
    )
    return layout_from_toml(layout_to_toml(layout), layout.name)


def offered_name(band: Band) -> str:
    """A name to offer: what the band holds, in words."""
    words = {"silence": "silent groove", "run_out": "run-out groove"}.get(band.kind, KINDS[band.kind])
    if band.kind == "sweep" and band.from_hz and band.to_hz:
        return f"sweep {band.from_hz:.0f} to {band.to_hz:.0f} Hz"
    return f"{band.nominal_hz:g} Hz {words}" if band.nominal_hz else words


def known_band(index: int, found: Sequence[Band]) -> int:
    """``index`` when there is such a band, else LayoutError."""
    if index not in {band.index for band in found}:
        raise LayoutError(f"there is no band {index}; the bands found have the numbers 0 to {len(found) - 1}")
    return index


def in_range(key: str, value: float, unit: str) -> float:
    """``value`` when the layout's ``key`` allows it, else LayoutError.

    >>> in_range("nominal_hz", 3150.0, "Hz")
    3150.0
    """
    low, high = RANGES[key]
    if not low <= value <= high:
        raise LayoutError(f"{value:g} {unit} is not possible; allowed is {low:g} to {high:g} {unit}")
    return value


def checked_disc_name(name: str) -> str:
    """``name`` without spaces at its ends, when it can be the name of a file on every system, else LayoutError."""
    tidy = " ".join(name.split())
    if not tidy or tidy.startswith((".", "-")) or len(tidy) > LONGEST_NAME or tidy.endswith("."):
        raise LayoutError(f"{name!r} can't be a disc's name; use 1 to {LONGEST_NAME} letters, digits and spaces.")
    wrong = sorted(NOT_IN_NAMES & set(tidy)) + [sign for sign in tidy if not sign.isprintable()]
    if wrong:
        raise LayoutError(f"{name!r} can't be a disc's name because of {wrong[0]!r}; use letters, digits and spaces.")
    return tidy


def _cut(band: Band, told: ToldOfBand, reference: bool) -> LayoutBand:
    start_hz = told.nominal_hz or band.nominal_hz
    if band.kind == "sweep":
        start_hz = told.nominal_hz or (band.from_hz and _two_figures(band.from_hz))
    return LayoutBand(
        name=told.name or offered_name(band),
        kind=band.kind,
        nominal_hz=start_hz,
        to_hz=_two_figures(band.to_hz) if band.kind == "sweep" and band.to_hz else None,
        duration_s=round(band.duration_s, 1),
        velocity_cm_s=told.velocity_cm_s,
        velocity=told.velocity,
        reference=reference,
    )


def _two_figures(hz: float) -> float:
    """Sweeps begin and end at round numbers."""
    return float(f"{hz:.2g}")
