"""Crosstalk with one sign both ways: coils and wiring, which no roll of the headshell cures."""

from __future__ import annotations

import math

from spindlewright.setup.next_moves.evidence import Evidence, verdict_of
from spindlewright.setup.next_moves.move import Move, caution_ids

KEY = "symmetric_leak"
STEPS = ("move.wiring",)
USUAL_DB = -20.0
"""Separation of 20 to 30 dB is the usual reading, no agreed limit (common practice, no source)."""
QUADRATURE_SHARE = 0.8
"""From this share on a leak counts as lying in quadrature: capacitive or inductive (common practice, derived)."""


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Say where such a leak comes from, when it is the larger part of a poor separation."""
    reading = evidence.main("symmetric_crosstalk")
    if reading is None or reading.conditions.get("below_noise") or evidence.told("mono"):
        return ()
    if verdict_of(reading, None, USUAL_DB) != "outside":
        return ()
    in_phase = float(reading.conditions.get("in_phase") or 0.0)
    quadrature = float(reading.conditions.get("quadrature") or 0.0)
    size = math.hypot(in_phase, quadrature)
    electrical = size > 0.0 and abs(quadrature) / size > QUADRATURE_SHARE
    if electrical:
        because, words = (
            "the leak lies in quadrature, as through capacity",
            "look at leads and plugs, then at the preamp",
        )
    else:
        because = "the leak has one sign both ways, so it is no lean of the headshell"
        words = "try another cartridge or headshell: what stays is in the wiring or the preamp"
    return (
        Move(
            what="leads and preamp" if electrical else "cartridge or wiring",
            direction="check",
            amount=None,
            unit=None,
            because=because,
            cautions=caution_ids(STEPS[0]),
            kind="suspect",
            key=KEY,
            words=words,
            quantity=reading.quantity,
            more=("No roll of the headshell cures it.",),
        ),
    )
