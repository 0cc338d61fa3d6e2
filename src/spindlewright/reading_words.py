"""A stored reading in words: value with uncertainty, limit, verdict, notes; the same on every face.

Takes the reading objects of ``contract.py`` and computes nothing new.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, TypeVar

from spindlewright.wording import (
    SIGNED,
    figures,
    limit_in_words,
    order,
    subject,
    title,
    unit_in_words,
    upper_bound,
    value_with_uncertainty,
)

JsonReading = Mapping[str, Any]
AReading = TypeVar("AReading", bound=JsonReading)

NO_BREAK = "\N{NO-BREAK SPACE}"
MOST_LINES = 6
"""Lines of a spectrum named in a note."""


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One line of a table of readings, all in words; ``also`` and ``notes`` belong under it.

    ``verdict`` is within, outside, too close to call, or empty; ``because`` says why it is too close or missing.
    """

    quantity: str
    title: str
    measured: str
    limit: str
    verdict: str
    because: str
    also: str
    notes: tuple[str, ...]


def lines_by_subject(readings: Iterable[JsonReading]) -> list[tuple[str, list[ReadingLine]]]:
    """Readings as lines under the headings of the printed page; the main band speaks, others are named under it."""
    return [(heading, _lines(several)) for heading, several in by_subject(readings)]


def _lines(readings: Sequence[JsonReading]) -> list[ReadingLine]:
    together: dict[tuple[str, str | None], list[JsonReading]] = {}
    for reading in readings:
        together.setdefault((reading["quantity"], reading["channel"]), []).append(reading)
    lines = []
    for (quantity, channel), same in together.items():
        (main,) = main_readings(same)
        words = verdict_in_words(main)
        verdict, _, because = words.partition(", ")
        if main["verdict"] is None:
            verdict, because = "", words
        lines.append(
            ReadingLine(
                quantity,
                title(quantity, channel),
                measured(main),
                limit_of(main),
                verdict,
                because,
                elsewhere(same),
                tuple(notes(main)),
            )
        )
    return lines


def by_subject(readings: Iterable[JsonReading]) -> list[tuple[str, list[JsonReading]]]:
    """Readings under the headings of the printed page, in its order.

    >>> [heading for heading, _ in by_subject([{"quantity": "hum"}, {"quantity": "wow"}])]
    ['Wow and flutter', 'Hum and noise']
    """
    in_order = sorted(readings, key=lambda reading: order(reading["quantity"]))
    return [(name, list(group)) for name, group in groupby(in_order, key=lambda r: subject(r["quantity"]))]


def main_readings(readings: Iterable[AReading]) -> list[AReading]:
    """Of each quantity and channel the one of the main band, or the first."""
    chosen: dict[tuple[str, str | None], AReading] = {}
    for reading in readings:
        key = (reading["quantity"], reading["channel"])
        if key not in chosen or (reading["conditions"].get("main") and not chosen[key]["conditions"].get("main")):
            chosen[key] = reading
    return list(chosen.values())


def value_in_words(reading: JsonReading) -> str:
    """The value alone, rounded as its uncertainty allows, with ``under`` for an upper bound."""
    if reading["conditions"].get("below_noise"):
        return f"under {upper_bound(reading['value'], reading['unit'])}"
    return _rounded(reading)[0]


def measured(reading: JsonReading) -> str:
    """``−0.592 ± 0.095 %``, or ``under 0.003 %`` where only a bound is known."""
    unit = unit_in_words(reading["unit"])
    if reading["conditions"].get("below_noise"):
        return f"{value_in_words(reading)} {unit}"
    return f"{' ± '.join(_rounded(reading))} {unit}"


def limit_of(reading: JsonReading, with_unit: bool = True) -> str:
    """``up to 0.2 %``, ``−1 to +1.5 %``; empty without a limit."""
    limit = reading["limit"] or {"low": None, "high": None}
    words = limit_in_words(limit["low"], limit["high"])
    return f"{words} {unit_in_words(reading['unit'])}" if words and with_unit else words


def verdict_in_words(reading: JsonReading) -> str:
    """``within``, ``outside``, ``too close to call, because …``; why there is none; empty without a limit."""
    if reading["verdict"] == "undecided":
        return why_undecided(reading)
    if reading["verdict"]:
        return str(reading["verdict"])
    return WITHOUT_VELOCITY if lacks_velocity(reading) else ""


WITHOUT_VELOCITY = "no verdict: how fast the reference band was cut is not known"


def lacks_velocity(reading: JsonReading) -> bool:
    """True when a limit could not be applied because the cut velocity of the reference is not known."""
    return bool(reading["limit"]) and reading["conditions"].get("velocity_known") is False


def why_undecided(reading: JsonReading) -> str:
    """``too close to call, because …``, and what would settle it where that is known."""
    spread = f"±{_rounded(reading)[1]} {unit_in_words(reading['unit'])}"
    why = reading["conditions"].get("undecided_because") or f"{spread} reaches across the limit"
    move = reading["conditions"].get("next_move")
    return f"too close to call, because {why}." + (f" Next: {move}." if isinstance(move, str) else "")


def place_in_words(reading: JsonReading) -> str:
    """Which band or bands it was read from."""
    bands = [reading["band"]] if reading["band"] is not None else reading["conditions"].get("bands", [])
    return f"band {'+'.join(map(str, bands))}" if bands else "the whole side"


def elsewhere(readings: Sequence[JsonReading]) -> str:
    """The other readings of one quantity and channel, ``also 0.19 in band 1``; empty without others."""
    main = next(iter(main_readings(readings)), None)
    others = [f"{value_in_words(one)} in {place_in_words(one)}" for one in readings if one is not main]
    return "also " + ", ".join(one.replace(" ", NO_BREAK) for one in others) if others else ""


def notes(reading: JsonReading) -> list[str]:
    """What belongs to a reading: the lines of a spectrum, and what had to be assumed."""
    conditions = reading["conditions"]
    found = []
    if reading["quantity"] == "hum" and (lines := conditions.get("lines")):
        found.append(_named_lines("lines", [(line["frequency_hz"], line["level_dbfs"]) for line in lines], "dBFS", 1))
    if lines := conditions.get("other_lines"):
        strongest = sorted(lines, key=lambda line: -line["peak_percent"])
        sizes = [(line["frequency_hz"], line["peak_percent"]) for line in strongest if line["peak_percent"] >= 0.001]
        if sizes:
            found.append(_named_lines("other lines", sizes, "% peak", 3))
    if conditions.get("polarity") == "assumed" and reading["quantity"] == "azimuth_error":
        found.append("polarity assumed: this disc has no band that shows it.")
    if isinstance(sign := conditions.get("sign"), str) and sign.startswith("doubtful"):
        found.append(f"which way is {sign}.")
    return found


def limit_sources(readings: Iterable[JsonReading]) -> list[str]:
    """Each source of a limit once, with the limit it stands for in its own words."""
    return list(dict.fromkeys(str(reading["limit"]["source"]) for reading in readings if reading["limit"]))


def _named_lines(name: str, lines: list[tuple[float, float]], unit: str, places: int) -> str:
    every = [f"{frequency:.4g} Hz {figures(size, places)}" for frequency, size in lines]
    named = [one.replace(" ", NO_BREAK) for one in every[:MOST_LINES]]
    return f"{name}: {', '.join(named)} {unit}{' and more' if len(every) > MOST_LINES else ''}"


def _rounded(reading: JsonReading) -> tuple[str, str]:
    signed = reading["quantity"] in SIGNED
    return value_with_uncertainty(reading["value"], reading["uncertainty"], reading["unit"], signed)
