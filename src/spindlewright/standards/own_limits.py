"""A user's own limits from TOML.

    name = "upstairs-bench"            # optional, as is title
    [limits]
    rumble_unweighted = "≥ 40 dB"      # short form; source is then "own limit"
    [limits.speed_deviation]
    low = -0.3
    high = 0.3
    source = "what this bench promises"

Short forms: ``≤ 0.15 %``, ``≥ 8 s``, ``± 0.3 %``, ``+1.5 / -1.0 %``, ``7 to 12 Hz`` (also ``<=``, ``>=``, ``+-``,
decimal comma). For levels that are read as negative dB (rumble, crosstalk, hum, noise) ``≥ 35 dB`` means at least
35 dB below the reference and is kept as high −35.
"""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from spindlewright.standards.limit_quantities import LEVELS_BELOW_REFERENCE, QUANTITY_UNITS
from spindlewright.standards.limit_set import Limit, LimitSet

OWN_SOURCE = "own limit, no source given"
_TOP_KEYS = ("name", "title", "source", "limits")
_LIMIT_KEYS = ("low", "high", "source")
_NUMBER = r"([+\-−]?\s*\d+(?:[.,]\d+)?)"
_ASCII = str.maketrans({"−": "-", ",": ".", " ": ""})
_UNIT_NAMES = {"deg": "°", "ohm": "Ω", "Mohm": "MΩ", "/min": "1/min"}


class LimitsError(ValueError):
    """Limits that can't be used; the message says which key, what was found, what is allowed and what to do.

    One line, whatever the text that was found.
    """

    def __init__(self, message: str) -> None:
        super().__init__(" ".join(message.split()))


def limits_from_toml(text: str, name: str = "own") -> LimitSet:
    """The set of limits written in ``text`` (form above); ``name`` is used where the text gives none.

    Raises LimitsError for anything that is not understood: nothing is skipped in silence.

    >>> limits_from_toml("[limits.speed_deviation]\\nlow = -0.3\\nhigh = 0.3").limits["speed_deviation"].low
    -0.3
    """
    try:
        document = tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        raise LimitsError(f"limits file: not valid TOML ({error}); mend that line") from error
    _no_other_keys("limits file", document, _TOP_KEYS)
    words = {key: _text(key, document.get(key, standard)) for key, standard in _head(name).items()}
    table = document.get("limits")
    if not isinstance(table, dict) or not table:
        raise LimitsError(
            f"limits file: found {'no [limits.…] table' if table is None else f'limits = {table!r}'}, "
            "at least one is needed; write for example [limits.speed_deviation] with low and high"
        )
    limits = {quantity: _limit(quantity, entry, words["source"]) for quantity, entry in table.items()}
    return LimitSet(words["name"], words["title"], words["source"], MappingProxyType(limits))


def _head(name: str) -> dict[str, str]:
    return {"name": name, "title": "Own limits", "source": OWN_SOURCE}


def _limit(quantity: str, entry: Any, source: str) -> Limit:
    key = f"limits.{quantity}"
    if quantity not in QUANTITY_UNITS:
        near = difflib.get_close_matches(quantity, QUANTITY_UNITS, n=1, cutoff=0.5)
        hint = f"did you mean {near[0]}?" if near else f"known are {', '.join(QUANTITY_UNITS)}"
        raise LimitsError(f"{key}: no reading has the name '{quantity}'; {hint}")
    if isinstance(entry, str):
        low, high = _short_form(key, quantity, entry)
    elif isinstance(entry, dict):
        _no_other_keys(key, entry, _LIMIT_KEYS)
        low, high = (_number(f"{key}.{side}", entry.get(side)) for side in ("low", "high"))
        source = _text(f"{key}.source", entry.get("source", source))
    else:
        raise LimitsError(
            f"{key}: found {entry!r}, allowed is a table with low, high, source, or a text like '≤ 0.2 %'"
        )
    if low is None and high is None:
        raise LimitsError(f"{key}: found neither low nor high; give at least one, in {QUANTITY_UNITS[quantity]}")
    if low is not None and high is not None and low > high:
        raise LimitsError(f"{key}: found low {low:g} above high {high:g}; swap them")
    if quantity in LEVELS_BELOW_REFERENCE:
        _check_level(key, low, high)
    return Limit(low, high, source)


def _check_level(key: str, low: float | None, high: float | None) -> None:
    """Refuse what can't be meant for a level that is read as negative dB."""
    above = max(number for number in (low, high) if number is not None)
    if above > 0.0:
        raise LimitsError(
            f"{key}: found {above:g}, levels below a reference are read as negative dB; "
            f'for "at least {above:g} dB down" write high = {-above:g} or "≥ {above:g} dB"'
        )
    if high is None:
        raise LimitsError(
            f"{key}: found only low {low:g}, that would let any stronger one pass; write high = {low:g} instead"
        )


def _short_form(key: str, quantity: str, entry: str) -> tuple[float | None, float | None]:
    """(low, high) of a text such as ``≥ 35 dB``."""
    unit = QUANTITY_UNITS[quantity]
    for pattern, reader in _SHORT_FORMS:
        match = re.fullmatch(pattern + r"\s*(\S*)", entry.strip())
        if match is None:
            continue
        *numbers, found_unit = match.groups()
        if _UNIT_NAMES.get(found_unit, found_unit) not in ("", unit):
            raise LimitsError(
                f"{key}: found the unit '{found_unit}' in '{entry}', {quantity} is read in {unit}; convert it"
            )
        low, high = reader([float(number.translate(_ASCII)) for number in numbers])
        if quantity in LEVELS_BELOW_REFERENCE and high is None and low is not None and low > 0.0:
            return None, -low
        return low, high
    raise LimitsError(
        f"{key}: found '{entry}', allowed are forms like '≤ 0.2 {unit}', '≥ 1 {unit}', '± 0.3 {unit}' "
        f"or '-1 to 1.5 {unit}'; or write low = … and high = …"
    )


def _at_most(numbers: list[float]) -> tuple[float | None, float | None]:
    return None, numbers[0]


def _at_least(numbers: list[float]) -> tuple[float | None, float | None]:
    return numbers[0], None


def _either_way(numbers: list[float]) -> tuple[float | None, float | None]:
    return -abs(numbers[0]), abs(numbers[0])


def _between(numbers: list[float]) -> tuple[float | None, float | None]:
    return min(numbers), max(numbers)


_SHORT_FORMS = (
    (r"(?:≤|<=|at most)\s*" + _NUMBER, _at_most),
    (r"(?:≥|>=|at least)\s*" + _NUMBER, _at_least),
    (r"(?:±|\+/?[-−])\s*" + _NUMBER, _either_way),
    (_NUMBER + r"\s*(?:/|to|…|\.\.)\s*" + _NUMBER, _between),
)


def _number(key: str, value: Any) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise LimitsError(f"{key}: found {value!r}, allowed is a finite number without unit")
    return float(value)


def _text(key: str, value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise LimitsError(f"{key}: found {value!r}, allowed is a text that is not empty")
    return value.strip()


def _no_other_keys(where: str, table: Mapping[str, Any], allowed: tuple[str, ...]) -> None:
    for key in table:
        if key not in allowed:
            near = difflib.get_close_matches(key, allowed, n=1)
            hint = f"; did you mean {near[0]}?" if near else "; remove it"
            raise LimitsError(f"{where}: found the key '{key}', allowed are {', '.join(allowed)}{hint}")
