"""Wow once with every turn: the disc is the first suspect, the deck only when the disc has been turned.

A hole off centre by e makes e/r of wow, a tenth more under a pivoted arm (published values 14, derived). The test is
to turn the disc half way round on the platter: what turns with it is the disc's.
"""

from __future__ import annotations

from spindlewright.setup.next_moves.evidence import Evidence, shows
from spindlewright.setup.next_moves.move import Move
from spindlewright.wording import figures

KEY = "once_per_turn"
STEPS = ("move.count_turns",)
USUAL_PERCENT = 0.15
"""A disc 0.15 mm off centre at 100 mm: less is met on any disc (common practice, no source)."""
WEIGHTED_SHARE = 0.314
"""Of a line at 0.556 Hz that is left after weighting (published values 14)."""
RADIUS_MM = 100.0
"""Groove radius taken when the band's own is not known."""
PIVOTED_ARM = 1.09
"""What a pivoted arm adds to e/r: 8.6 to 11.1 % at 230 mm, least at middle radii (published values 14, derived)."""


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Turn the disc and measure again, when once per turn is large or spoils the flutter figure."""
    reading = evidence.main("once_per_revolution")
    if reading is None or not shows(reading):
        return ()
    weighted = evidence.main("wow_flutter_weighted")
    leads = (
        weighted is not None
        and weighted.verdict in ("outside", "undecided")
        and WEIGHTED_SHARE * reading.value > 0.5 * weighted.value
    )
    large = reading.verdict == "outside" if reading.verdict else reading.value - reading.uncertainty > USUAL_PERCENT
    if not (large or leads):
        return ()
    radius = float(reading.conditions.get("radius_mm") or RADIUS_MM)
    off_mm = reading.value / 100.0 * radius / (1.0 if evidence.deck.arm == "linear" else PIVOTED_ARM)
    return (
        Move(
            what="test disc on the platter",
            direction="half a turn",
            amount=180.0,
            unit="°",
            because=f"it is what a disc {figures(off_mm, 2)} mm off centre does at {radius:g} mm, and the disc is the "
            "likelier cause",
            cautions=(),
            kind="repeat",
            key=KEY,
            words="turn the disc half round on the platter, push it to the same side of the pin, and measure again",
            quantity=reading.quantity,
            more=("If the phase turns with the disc, it is the disc; if it stays, look at platter, hub and bearing.",),
        ),
    )
