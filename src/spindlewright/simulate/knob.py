"""Knobs: dataclass fields that carry their unit, meaning and allowed range, and are read from parsed TOML.

Every setting of a simulated deck is declared once with :func:`knob`; the same declaration checks values, words the
error messages and feeds the documentation (:func:`describe`).
"""

from __future__ import annotations

import difflib
import math
import types
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields, is_dataclass
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


_HINTS: dict[type, dict[str, Any]] = {}


def _hints(kind: type) -> dict[str, Any]:
    """Types of a dataclass's fields, looked up once."""
    if kind not in _HINTS:
        _HINTS[kind] = get_type_hints(kind)
    return _HINTS[kind]


def knob(
    default: Any,
    doc: str,
    *,
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    key: str | None = None,
    required: bool = False,
) -> Any:
    """One setting: its default, meaning, unit and range.

    ``low`` and ``high`` are the allowed limits (included), ``above`` a limit that is not itself allowed.
    ``key`` is the name in TOML where it differs (``[[band]]`` for ``bands``). ``required`` settings have no default.
    """
    metadata = {"doc": doc, "unit": unit, "low": low, "high": high, "above": above, "key": key}
    if required:
        return field(metadata=metadata)
    if callable(default):
        return field(default_factory=default, metadata=metadata)
    return field(default=default, metadata=metadata)


def key_of(setting: Field[Any]) -> str:
    """Name of a setting in TOML."""
    return setting.metadata.get("key") or setting.name


def check_range(setting: Field[Any], value: Any, where: str) -> None:
    """Raise ValueError when a number lies outside the range its knob declares."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return
    low, high, above = (setting.metadata.get(name) for name in ("low", "high", "above"))
    unit = f" {setting.metadata['unit']}" if setting.metadata.get("unit") else ""
    if not math.isfinite(value):
        raise ValueError(f"{where} = {value}: must be a finite number")
    if (
        (low is not None and value < low)
        or (high is not None and value > high)
        or (above is not None and value <= above)
    ):
        start = f"above {above:g}" if above is not None else f"from {low:g}" if low is not None else ""
        end = f"up to {high:g}" if high is not None else ""
        raise ValueError(f"{where} = {value:g}{unit}: must be {' '.join(p for p in (start, end) if p)}{unit}")


def check_knobs(settings: Any) -> None:
    """Check types and ranges of a dataclass made of knobs; for use in ``__post_init__``."""
    hints = _hints(type(settings))
    for setting in fields(settings):
        where = f"{type(settings).__name__.lower()}.{key_of(setting)}"
        value = getattr(settings, setting.name)
        if setting.metadata.get("doc") is None or is_dataclass(value):
            continue
        if not isinstance(value, tuple):
            _converted(value, hints[setting.name], where)
        check_range(setting, value, where)


class Checked:
    """Base of dataclasses of knobs: their values are checked when they are made."""

    __slots__ = ()

    def __post_init__(self) -> None:
        check_knobs(self)


def from_mapping(kind: type[T], mapping: Any, where: str = "") -> T:
    """Make a dataclass of knobs from parsed TOML; ValueError with one line naming the key when something is wrong."""
    at = where or "the specification"
    if not isinstance(mapping, Mapping):
        raise ValueError(f"{at} = {mapping!r}: must be a table of settings")
    settings = {key_of(s): s for s in fields(kind)}  # type: ignore[arg-type]
    hints = _hints(kind)
    values: dict[str, Any] = {}
    for key, value in mapping.items():
        path = f"{where}.{key}" if where else str(key)
        if key not in settings:
            near = difflib.get_close_matches(str(key), list(settings), n=1)
            hint = f"did you mean {near[0]!r}? " if near else ""
            raise ValueError(f"{path} = {_short(value)}: no such setting; {hint}Allowed here: {', '.join(settings)}")
        setting = settings[key]
        converted = _converted(value, hints[setting.name], path)
        check_range(setting, converted, path)
        values[setting.name] = converted
    for key, setting in settings.items():
        missing = setting.default is MISSING and setting.default_factory is MISSING
        if missing and setting.name not in values:
            raise ValueError(f"{where + '.' if where else ''}{key}: must be given ({setting.metadata['doc']})")
    try:
        return kind(**values)
    except ValueError as error:
        text = str(error)
        own = f"{kind.__name__.lower()}."
        raise ValueError(f"{where}.{text[len(own) :]}" if where and text.startswith(own) else text) from None


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "…"


def _converted(value: Any, hint: Any, where: str) -> Any:
    """``value`` as the type the knob declares."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        choices = [c for c in get_args(hint) if c is not type(None)]
        if value is None:
            return None
        if len(choices) == 1:
            return _converted(value, choices[0], where)
        for choice in choices:
            try:
                return _converted(value, choice, where)
            except ValueError:
                continue
        raise ValueError(f"{where} = {_short(value)}: must be {' or '.join(_named(c) for c in choices)}")
    if origin is Literal:
        allowed = get_args(hint)
        if not any(type(value) is type(a) and value == a for a in allowed):
            raise ValueError(f"{where} = {_short(value)}: must be one of {', '.join(map(str, allowed))}")
        return value
    if origin is tuple:
        if not isinstance(value, list | tuple):
            raise ValueError(f"{where} = {_short(value)}: must be a list")
        (item, *_) = get_args(hint)
        return tuple(_converted(v, item, f"{where}[{i + 1}]") for i, v in enumerate(value))
    if is_dataclass(hint):
        return value if isinstance(value, hint) else from_mapping(hint, value, where)  # type: ignore[arg-type]
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if hint is float and number:
        return float(value)
    if hint is int and number and float(value).is_integer():
        return int(value)
    if hint in (bool, str) and isinstance(value, hint):
        return value
    raise ValueError(f"{where} = {_short(value)}: must be {_named(hint)}")


def _named(hint: Any) -> str:
    names: dict[Any, str] = {float: "a number", int: "a whole number", bool: "true or false", str: "text"}
    if get_origin(hint) is Literal:
        return "one of " + ", ".join(map(str, get_args(hint)))
    return names.get(hint, "a table")


@dataclass(frozen=True, slots=True)
class KnobRow:
    """One line of the reference of settings; ``table`` rows stand for a table (``[deck]``) or list (``[[band]]``)."""

    key: str
    unit: str
    allowed: str
    default: str
    meaning: str
    table: bool


def describe(kind: type, prefix: str = "") -> Iterator[KnobRow]:
    """Every setting below ``kind`` in order, for the documentation; ``[]`` marks tables that may be repeated."""
    hints = _hints(kind)
    for setting in fields(kind):
        path, hint, doc = f"{prefix}{key_of(setting)}", hints[setting.name], setting.metadata["doc"]
        inner = _inner_dataclass(hint)
        if inner is not None:
            mark = "[]" if get_origin(hint) is tuple else ""
            yield KnobRow(path + mark, "", "", "", doc, True)
            yield from describe(inner, f"{path}{mark}.")
        else:
            yield KnobRow(path, setting.metadata["unit"], _allowed(setting, hint), _default(setting), doc, False)


def _allowed(setting: Field[Any], hint: Any) -> str:
    options = [o for o in get_args(hint) if o is not type(None)] if get_origin(hint) is not Literal else [hint]
    for option in options or [hint]:
        if get_origin(option) is Literal:
            return ", ".join(map(str, get_args(option)))
    if hint is bool:
        return "true, false"
    low, high, above = (setting.metadata[name] for name in ("low", "high", "above"))
    start = f"above {_plain(above)}" if above is not None else f"from {_plain(low)}" if low is not None else ""
    return f"{start} to {_plain(high)}" if start and high is not None else start


def _plain(number: float) -> str:
    return str(number) if isinstance(number, int) else f"{number:g}"


def _default(setting: Field[Any]) -> str:
    if setting.default is MISSING:
        return "must be given"
    if isinstance(setting.default, float):
        return f"{setting.default:g}"
    if isinstance(setting.default, bool):
        return str(setting.default).lower()
    return "none" if setting.default in (None, "") else str(setting.default)


def _inner_dataclass(hint: Any) -> type | None:
    if isinstance(hint, type) and is_dataclass(hint):
        return hint
    for argument in get_args(hint):
        found = _inner_dataclass(argument)
        if found is not None:
            return found
    return None
