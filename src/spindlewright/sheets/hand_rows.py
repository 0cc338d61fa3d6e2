"""Readings by hand, stage by stage, with the instrument each was read with."""

from __future__ import annotations

from spindlewright.readings.hand_readings import HAND_QUANTITIES, MN_PER_GRAM
from spindlewright.readings.hand_readings import METHOD as BY_HAND
from spindlewright.readings.reading import Reading
from spindlewright.sheets.sheet_content import HandRow
from spindlewright.shop.views.card import JobCard
from spindlewright.shop.views.recordings import ReadingView
from spindlewright.wording import listed, unit_in_words, value_with_uncertainty


def hand_rows(card: JobCard) -> tuple[HandRow, ...]:
    """One row for each quantity and channel, in the order of the table of hand quantities."""
    views = [view for view in card.readings if view.reading.method == BY_HAND and not view.withdrawn]
    outcomes = {(c.quantity, c.channel): c.outcome for c in card.comparisons if c.method == BY_HAND}
    known = list(HAND_QUANTITIES)
    keys = dict.fromkeys((view.reading.quantity, view.reading.channel) for view in views)
    rows = []
    for quantity, channel in sorted(keys, key=lambda key: known.index(key[0]) if key[0] in known else len(known)):
        here = [v for v in views if (v.reading.quantity, v.reading.channel) == (quantity, channel)]
        named = HAND_QUANTITIES[quantity].title if quantity in HAND_QUANTITIES else quantity.replace("_", " ")
        instruments = dict.fromkeys(str(v.reading.conditions.get("instrument", "")) for v in here)
        rows.append(
            HandRow(
                f"{named}, {channel}" if channel else named,
                listed([name for name in instruments if name]),
                _at(here, ("before",)),
                _at(here, ("work", "set_up")),
                _at(here, ("after",)),
                outcomes.get((quantity, channel), ""),
            )
        )
    return tuple(rows)


def _at(views: list[ReadingView], stages: tuple[str, ...]) -> str:
    return "; ".join(hand_figure(view.reading) for view in views if view.stage in stages)


def hand_figure(reading: Reading) -> str:
    r"""A reading by hand as printed; a tracking force in grams too, on two lines.

    >>> from spindlewright.readings.hand_readings import hand_reading
    >>> force = hand_figure(hand_reading("tracking_force", "2,000 g", "stylus scale", 0.05))
    >>> force.replace("\N{NO-BREAK SPACE}", " ").replace("\n", " / ")
    '2.000 ± 0.050 g / (19.61 ± 0.49 mN)'
    >>> hand_figure(hand_reading("insulation_resistance", ">200"))
    'over 200 MΩ'
    """
    unit = unit_in_words(reading.unit)
    if reading.conditions.get("at_least"):
        return f"over {reading.value:.4g} {unit}"
    figure = " ± ".join(value_with_uncertainty(reading.value, reading.uncertainty, reading.unit))
    if reading.quantity != "tracking_force":
        return f"{figure} {unit}"
    grams = " ± ".join(value_with_uncertainty(reading.value / MN_PER_GRAM, reading.uncertainty / MN_PER_GRAM, "g"))
    return f"{grams} g\n({figure} {unit})".replace(" ", "\N{NO-BREAK SPACE}")
