"""Disc layouts: what a test disc holds, stored as TOML (contract: Bands, layout)."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, get_args

from spindlewright.bands.band import Kind, LayoutBand

KINDS: tuple[str, ...] = get_args(Kind)
CHOICES: dict[str, tuple[str, ...]] = {
    "kind": KINDS,
    "velocity": ("peak", "rms"),
    "direction": ("lateral", "vertical", "wall"),
    "equalisation": ("riaa", "flat", "constant_amplitude_below"),
}
RANGES: dict[str, tuple[float, float]] = {
    "nominal_hz": (1.0, 60000.0),
    "to_hz": (1.0, 60000.0),
    "duration_s": (0.1, 7200.0),
    "velocity_cm_s": (0.001, 200.0),
    "turnover_hz": (1.0, 60000.0),
    "radius_mm": (20.0, 400.0),
    "rpm": (10.0, 100.0),
    "speed_uncertainty_percent": (0.0, 10.0),
    "speed_error_percent": (-10.0, 10.0),
}
NEEDS_FREQUENCY = ("tone", "left", "right", "vertical", "sweep")


class LayoutError(ValueError):
    """A layout that cannot be used; the message is one line that says where, what was found and what is allowed."""


@dataclass(frozen=True, slots=True)
class Layout:
    """A test disc: bands in the order in which they are played.

    ``rpm`` is the speed the disc was cut for; ``speed_uncertainty_percent`` the half-width of a rectangular
    distribution of the disc's own speed error (None: not stated); ``speed_error_percent`` that error where this
    copy was measured (found frequencies are this much too high at the exact speed).
    """

    name: str
    bands: tuple[LayoutBand, ...]
    rpm: float = 100.0 / 3.0
    speed_uncertainty_percent: float | None = None
    speed_error_percent: float = 0.0
    title: str = ""


def layout_from_toml(text: str, name: str) -> Layout:
    """Read a layout; ``name`` says where it came from and stands in every message.

    >>> layout_from_toml('[[band]]\\nkind = "tone"\\nnominal_hz = 3150', "mine").bands[0].kind
    'tone'
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise LayoutError(f"layout {name}: not readable as TOML ({error})") from None
    known = {f.name for f in fields(Layout)} - {"bands", "name"} | {"band"}
    _refuse_unknown(table, known, f"layout {name}")
    entries = table.get("band")
    if not isinstance(entries, list) or not entries or not all(isinstance(e, dict) for e in entries):
        raise LayoutError(f"layout {name}: found no [[band]] table; a layout needs at least one")
    rpm = _number(table, "rpm", f"layout {name}")
    uncertainty = _number(table, "speed_uncertainty_percent", f"layout {name}")
    error_percent = _number(table, "speed_error_percent", f"layout {name}")
    title = table.get("title", "")
    if not isinstance(title, str):
        raise LayoutError(f"layout {name}: title is {title!r}, allowed is text in quotes")
    return Layout(
        name=name,
        bands=tuple(_band(entry, number, name) for number, entry in enumerate(entries, 1)),
        rpm=100.0 / 3.0 if rpm is None else _exact_rpm(rpm),
        speed_uncertainty_percent=uncertainty,
        speed_error_percent=error_percent or 0.0,
        title=title,
    )


def layout_to_toml(layout: Layout) -> str:
    """The stored form; reading it back gives the same layout."""
    lines = []
    if layout.title:
        lines.append(f"title = {_quoted(layout.title)}")
    lines.append(f"rpm = {_plain(layout.rpm)}")
    if layout.speed_uncertainty_percent is not None:
        lines.append(f"speed_uncertainty_percent = {_plain(layout.speed_uncertainty_percent)}")
    if layout.speed_error_percent:
        lines.append(f"speed_error_percent = {_plain(layout.speed_error_percent)}")
    for band in layout.bands:
        lines += ["", "[[band]]"]
        for field in fields(LayoutBand):
            value = getattr(band, field.name)
            if field.name not in ("name", "kind") and value == field.default:
                continue
            lines.append(f"{field.name} = {_value(value)}")
    return "\n".join(lines) + "\n"


def _band(entry: Mapping[str, Any], number: int, layout_name: str) -> LayoutBand:
    where = f"layout {layout_name}, band {number}"
    _refuse_unknown(entry, {f.name for f in fields(LayoutBand)}, where)
    if "kind" not in entry:
        raise LayoutError(f"{where}: no kind; allowed are {', '.join(KINDS)}")
    values: dict[str, Any] = {}
    for field in fields(LayoutBand):
        key = field.name
        if key not in entry:
            continue
        if key in CHOICES:
            if entry[key] not in CHOICES[key]:
                allowed = ", ".join(CHOICES[key])
                raise LayoutError(f"{where}: {key} is {entry[key]!r}, allowed are {allowed}")
            values[key] = entry[key]
        elif key in RANGES:
            values[key] = _number(entry, key, where)
        else:
            wanted = bool if key == "reference" else str
            if not isinstance(entry[key], wanted):
                allowed = "true or false" if wanted is bool else "text in quotes"
                raise LayoutError(f"{where}: {key} is {entry[key]!r}, allowed is {allowed}")
            values[key] = entry[key]
    kind = values["kind"]
    if kind in NEEDS_FREQUENCY and "nominal_hz" not in values:
        raise LayoutError(f"{where}: a {kind} band needs nominal_hz")
    if kind == "sweep" and "to_hz" not in values:
        raise LayoutError(f"{where}: a sweep needs to_hz as well as nominal_hz (where it begins)")
    if kind != "sweep" and "to_hz" in values:
        raise LayoutError(f"{where}: to_hz belongs to a sweep, this band is a {kind}")
    values.setdefault("name", f"band {number}")
    return LayoutBand(**values)


def _number(table: Mapping[str, Any], key: str, where: str) -> float | None:
    if key not in table:
        return None
    value, (low, high) = table[key], RANGES[key]
    usable = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    if not usable or not low <= value <= high:
        raise LayoutError(f"{where}: {key} is {value!r}, allowed is a number from {low:g} to {high:g}")
    return float(value)


def _refuse_unknown(table: Mapping[str, Any], known: set[str], where: str) -> None:
    for key in table:
        if key not in known:
            raise LayoutError(f"{where}: unknown key {key!r}; allowed are {', '.join(sorted(known))}")


def _exact_rpm(rpm: float) -> float:
    """33, 33.3 or 33.33 mean 33⅓ and 78 means 78.261 (as typed with ``--rpm``); any other number is itself."""
    if rpm == 33 or abs(rpm - 100.0 / 3.0) < 0.04:
        return 100.0 / 3.0
    return 3600.0 / 46.0 if rpm == 78 or abs(rpm - 3600.0 / 46.0) < 0.001 else rpm


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return _plain(value) if isinstance(value, float) else _quoted(str(value))


def _plain(number: float) -> str:
    return repr(int(number)) if number == int(number) and abs(number) < 1e15 else repr(number)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}" for c in escaped) + '"'
