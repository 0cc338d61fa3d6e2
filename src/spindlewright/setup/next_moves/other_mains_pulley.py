"""A deck that turns at exactly 5/6 or 6/5 of its speed: its pulley is that of the other mains.

A synchronous motor keeps step with the mains, so 60 Hz parts on 50 Hz mains give 5/6: 27.78 and 37.50 rpm; the other
way round 6/5: 40 and 54 rpm. The new pulley follows from the belt's mid-line: (D + t) × 6/5 − t.

Source: trade practice 1.5 and case 13, published values 17 (derived).
"""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.setup.next_moves.evidence import Evidence
from spindlewright.setup.next_moves.move import Move, caution_ids
from spindlewright.setup.next_moves.speed_seen import SpeedSeen, speed_seen
from spindlewright.setup.rotating_parts import sizes_at

KEY = "other_mains_pulley"
STEPS = ("move.other_mains_pulley",)
SYNCHRONOUS_PERCENT = 1.0
"""How near to 5/6 a synchronous deck comes: its own error and the disc's (common practice, no source)."""
INDUCTION_PERCENT = 3.0
"""The same with the slip of an induction motor, which changes with the mains."""


@dataclass(frozen=True, slots=True)
class OtherMains:
    """``share`` is 5/6 or 6/5 in words; the pulley is made for ``made_for_hz`` and runs on ``runs_on_hz``."""

    seen: SpeedSeen
    share: str
    made_for_hz: int
    runs_on_hz: int


def other_mains(evidence: Evidence) -> OtherMains | None:
    """Whether the speed is that of the other mains' pulley, on a deck whose motor can do that."""
    seen = speed_seen(evidence)
    if seen is None or evidence.deck.drive == "direct" or evidence.deck.motor in ("dc", "servo"):
        return None
    near = INDUCTION_PERCENT if evidence.deck.motor == "induction" else SYNCHRONOUS_PERCENT
    for ratio, share, made_for, runs_on in ((5.0 / 6.0, "5/6", 60, 50), (6.0 / 5.0, "6/5", 50, 60)):
        if 100.0 * abs(seen.ratio / ratio - 1.0) <= near:
            found = OtherMains(seen, share, made_for, runs_on)
            return None if _mains_speaks_against(evidence, found) else found
    return None


def _mains_speaks_against(evidence: Evidence, found: OtherMains) -> bool:
    """Whether the mains here is known to be the one the pulley would be made for."""
    reading = evidence.main("mains_frequency")
    here = reading.value if reading is not None else evidence.deck.mains_hz
    return here is not None and abs(here - found.made_for_hz) < abs(here - found.runs_on_hz)


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Fit the pulley of the mains here; the trim can't do it."""
    found = other_mains(evidence)
    if found is None:
        return ()
    deck = evidence.deck
    larger = found.share == "5/6"
    sizes = sizes_at(deck.dimensions, found.seen.nominal_rpm)
    amount = None
    if "pulley_mm" in sizes and deck.drive in ("belt", "idler", "unknown"):
        thickness = sizes.get("belt_thickness_mm", 0.0) if deck.drive != "idler" else 0.0
        amount = round((sizes["pulley_mm"] + thickness) * (6.0 / 5.0 if larger else 5.0 / 6.0) - thickness, 2)
    size = f", {amount:.2f} mm across where this one has {sizes['pulley_mm']:.2f} mm" if amount is not None else ""
    known = deck.motor in ("synchronous", "induction")
    so = "so the pulley is" if known else "so, if the motor runs in step with the mains, the pulley is"
    plate = deck.plate_frequency_hz
    on_plate = f"; the plate says {plate:g} Hz" if plate and abs(plate - found.made_for_hz) < 1.0 else ""
    more = [
        "Ask first whether the motor itself suits this mains: its voltage, its capacitor and its frequency.",
        "Then measure both speeds again.",
    ]
    if larger:
        more.append("Do not trust a stroboscope ring for 60 Hz here: it stands still at 27.78 rpm under 50 Hz light.")
    return (
        Move(
            what="motor pulley",
            direction="larger" if larger else "smaller",
            amount=amount,
            unit="mm" if amount is not None else None,
            because=f"that is {found.share} of the right speed, {so} that of {found.made_for_hz} Hz mains on "
            f"{found.runs_on_hz} Hz{on_plate}",
            cautions=caution_ids(STEPS[0]),
            kind="adjust" if known else "suspect",
            key=KEY,
            words=f"fit the pulley for {found.runs_on_hz} Hz{size}",
            quantity=found.seen.reading.quantity,
            more=tuple(more),
        ),
    )
