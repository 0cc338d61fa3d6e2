"""Lines in the speed that fall on a turning part: an idler with a flat, a lump in the belt, a pulley off centre.

The rates follow from the deck's dimensions (``rotating_parts``); without them a family of lines on an idler deck is
still suspected. Source: trade practice 4.1, 4.2 and case 3 (common practice, derived).
"""

from __future__ import annotations

from collections.abc import Sequence

from spindlewright.readings.reading import Reading
from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move, caution_ids
from spindlewright.setup.next_moves.speed_seen import speed_seen
from spindlewright.setup.rotating_parts import PartLine, lines_of_parts, rotating_parts
from spindlewright.wording import figures, listed

KEY = "rotating_part"
STEPS = ("move.idler", "move.rotating_part")
LEAST_PERCENT = 0.03
"""Smaller lines are met on sound decks (common practice, no source)."""
WEIGHTED_LIMIT_PERCENT = 0.1
"""A weighted flutter under this is good (common practice, no source): then no part is looked for."""
IDLER_HZ = (1.5, 5.0)
"""Where an idler turns on a deck at 33⅓ or 45 rpm (common practice, no source)."""


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """One suspicion for each part whose line stands out, the largest first."""
    reading = evidence.main("once_per_revolution")
    if reading is None or _flutter_is_good(evidence):
        return ()
    lines = [(float(line["frequency_hz"]), float(line["peak_percent"])) for line in _other_lines(reading)]
    loud = {
        name: group
        for name, group in _by_part(evidence, reading, lines).items()
        if max(line.peak_percent for line in group) >= LEAST_PERCENT
    }
    weighted = evidence.main("wow_flutter_weighted")
    quantity = reading.quantity if weighted is None else weighted.quantity
    made = [_of_part(name, group, quantity) for name, group in loud.items()]
    if not made and evidence.deck.drive == "idler":
        family = _family(lines)
        if family:
            made.append(_of_idler(family[0][0], family, False, quantity))
    if not made and weighted is not None and weighted.verdict == "outside":
        made += _sizes_wanted(evidence, lines, quantity)
    return tuple(made)


def _sizes_wanted(evidence: Evidence, lines: Sequence[tuple[float, float]], quantity: str) -> list[Move]:
    """Lines that nothing names yet, on a deck whose sizes are not known: measure them, then they can be named."""
    unnamed = sorted((line for line in lines if line[1] >= LEAST_PERCENT), key=lambda line: -line[1])[:3]
    wanted = [_IN_WORDS[name] for name in _WANTED.get(evidence.deck.drive, ()) if name not in evidence.deck.dimensions]
    if not unnamed or not wanted:
        return []
    return [
        Move(
            what="sizes of the drive",
            direction="measure",
            amount=None,
            unit=None,
            because=f"{_told(unnamed)} {_stands(unnamed)} out, and the part is not known yet",
            cautions=caution_ids(STEPS[1]),
            kind="repeat",
            key=KEY,
            words=f"measure {listed(wanted)} with callipers and note them with the deck: then the line names its part",
            quantity=quantity,
        )
    ]


_WANTED = {
    "belt": ("hub_mm", "pulley_mm", "belt_thickness_mm", "belt_length_mm"),
    "idler": ("rim_mm", "idler_mm"),
}
_IN_WORDS = {
    "hub_mm": "hub",
    "pulley_mm": "pulley",
    "belt_thickness_mm": "belt thickness",
    "belt_length_mm": "belt length",
    "rim_mm": "rim",
    "idler_mm": "idler",
}


def _flutter_is_good(evidence: Evidence) -> bool:
    weighted = evidence.main("wow_flutter_weighted")
    if weighted is None:
        return False
    return weighted.verdict == "within" and weighted.value + weighted.uncertainty < WEIGHTED_LIMIT_PERCENT


def _other_lines(reading: Reading) -> Sequence[dict[str, float]]:
    return reading.conditions.get("other_lines") or ()


def _by_part(evidence: Evidence, reading: Reading, lines: Sequence[tuple[float, float]]) -> dict[str, list[PartLine]]:
    seen = speed_seen(evidence)
    rpm = seen.rpm if seen is not None and seen.rpm else 60.0 * float(reading.conditions.get("rate_hz") or 0.0)
    if not rpm:
        return {}
    deck = evidence.deck
    parts = rotating_parts(rpm, deck.drive, deck.dimensions, deck.mains_hz, deck.motor)
    length_s = float(reading.conditions.get("measured_s") or 30.0)
    groups: dict[str, list[PartLine]] = {}
    platter = [(frequency, peak) for frequency, peak in lines]
    for line in lines_of_parts(platter, parts, 0.5 / length_s):
        if line.part.name != "platter":
            groups.setdefault(line.part.name, []).append(line)
    return dict(sorted(groups.items(), key=lambda group: -max(line.peak_percent for line in group[1])))


def _family(lines: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """A line where idlers turn, with at least one multiple of it; empty when there is none."""
    for frequency, peak in sorted(lines, key=lambda line: -line[1]):
        if not IDLER_HZ[0] <= frequency <= IDLER_HZ[1] or peak < LEAST_PERCENT:
            continue
        multiples = [
            line for line in lines if any(abs(line[0] - n * frequency) < 0.02 * n * frequency for n in (2, 3))
        ]
        if multiples:
            return [(frequency, peak), *sorted(multiples)]
    return []


def _of_part(name: str, group: Sequence[PartLine], quantity: str) -> Move:
    lines = [(line.frequency_hz, line.peak_percent) for line in sorted(group, key=lambda line: line.frequency_hz)]
    if name == "idler":
        return _of_idler(group[0].part.rate_hz, lines, True, quantity)
    words, what, more = {
        "belt": (
            "look for a lump, a splice or a twist in the belt, turn it inside out and measure again",
            "belt",
            "A line that stays after that is not the belt's.",
        ),
        "cogging": ("look at the motor's gap and its drive", "motor", ""),
    }.get(
        name,
        (
            "look whether the motor's pulley runs true and its bearing is dry",
            "pulley and motor",
            "Mark the pulley first.",
        ),
    )
    return Move(
        what=what,
        direction="check",
        amount=None,
        unit=None,
        because=f"{_told(lines)} {_stands(lines)} at the rate of the {name}",
        cautions=caution_ids(STEPS[1]),
        kind="suspect",
        key=KEY,
        words=words,
        quantity=quantity,
        more=(more,) if more else (),
    )


def _of_idler(rate_hz: float, lines: Sequence[tuple[float, float]], measured: bool, quantity: str) -> Move:
    many = len(lines) > 1
    where = f"at the rate of the idler, {figures(rate_hz, 2)} Hz" if measured else "where idlers turn"
    because = f"{_told(lines)} {_stands(lines)} {where}" + (", in a family as a flat makes them" if many else "")
    check = "The same lines at 45 rpm, 1.35 times faster, would prove it; lines that stay put would refute it."
    return Move(
        what="idler",
        direction="true or renew",
        amount=None,
        unit=None,
        because=because,
        cautions=caution_ids(STEPS[0]),
        kind="suspect",
        key=KEY,
        words="look at the idler for a flat, true or renew it, and store the deck with the idler off the rim",
        quantity=quantity,
        more=(check,) if measured else (check, "Measure rim and idler with callipers to be sure."),
    )


def _told(lines: Sequence[tuple[float, float]]) -> str:
    return listed([f"{figures(frequency, 2)} Hz ({figures(peak, 3)} %)" for frequency, peak in lines])


def _stands(lines: Sequence[tuple[float, float]]) -> str:
    return "stand" if len(lines) > 1 else "stands"
