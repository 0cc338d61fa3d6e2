"""A headshell that leans: roll it back, in degrees and in millimetres at its edge.

Only where the channels are known to be the right way round, where the roll is more than the reading's uncertainty and
than a hand can set, and never so that the headshell stands more than 2° from upright.

Source: readings contract; shim: width × tan (published values 13: 0.1 mm over 12.7 mm is 0.451°, derived).
"""

from __future__ import annotations

import math

from spindlewright.readings.azimuth import UPRIGHT_WITHIN_DEG
from spindlewright.readings.reading import Reading
from spindlewright.setup.next_moves.evidence import Evidence, shows
from spindlewright.setup.next_moves.move import Move, caution_ids
from spindlewright.wording import figures

KEY = "azimuth"
STEPS = ("move.azimuth",)
HEADSHELL_WIDTH_MM = 13.0
"""Width taken when the headshell's own is not known (common practice, no source)."""
FINEST_ROLL_DEG = 0.25
"""0.06 mm at the edge of such a headshell: finer no hand sets it (common practice, no source)."""


def moves(evidence: Evidence) -> tuple[Move, ...]:
    """Roll, shim, set upright by eye, or leave."""
    reading = evidence.main("azimuth_error")
    if reading is None or evidence.wrong_way_round or reading.conditions.get("polarity") in ("inverted", "swapped"):
        return ()
    if reading.verdict == "within" or not shows(reading):
        return ()
    size = abs(reading.value)
    if size > UPRIGHT_WITHIN_DEG:
        return (_upright_by_eye(evidence, reading),)
    if size < FINEST_ROLL_DEG:
        return ()
    if reading.conditions.get("polarity") != "known":
        return (_polarity_first(reading),)
    if evidence.deck.arm == "plug-in":
        return (_leave(reading, "the mount fixes the cartridge"),)
    if evidence.deck.azimuth == "adjustable" or evidence.deck.arm == "unipivot":
        return (_roll(evidence, reading),)
    return (_shim(evidence, reading),)


def edge_mm(angle_deg: float, width_mm: float) -> float:
    """How much higher one edge of a part comes when it rolls about the other.

    >>> round(edge_mm(1.2, 13.0), 3), round(edge_mm(0.451, 12.7), 3)
    (0.272, 0.1)
    """
    return width_mm * math.tan(math.radians(abs(angle_deg)))


def back_direction(lean_deg: float) -> str:
    """Which way to roll back a lean that is positive when clockwise seen from the front."""
    return "counter-clockwise" if lean_deg > 0.0 else "clockwise"


def _width(evidence: Evidence) -> float:
    try:
        width = float(evidence.deck.dimensions.get("headshell_width_mm") or HEADSHELL_WIDTH_MM)
    except (TypeError, ValueError):
        return HEADSHELL_WIDTH_MM
    return width if width > 0.0 else HEADSHELL_WIDTH_MM


def _roll(evidence: Evidence, reading: Reading) -> Move:
    amount, way, width = round(abs(reading.value), 1), back_direction(reading.value), _width(evidence)
    part = "arm, by its lateral balance," if evidence.deck.arm == "unipivot" else "headshell"
    edge = figures(edge_mm(amount, width), 2)
    return Move(
        what=part.strip(",") if evidence.deck.arm != "unipivot" else "lateral balance",
        direction=f"{way}, seen from the front",
        amount=amount,
        unit="°",
        because=_because(reading),
        cautions=caution_ids(STEPS[0]),
        kind="adjust",
        key=KEY,
        words=f"roll the {part} {figures(amount, 1)}° {way} seen from its front: about {edge} mm at the edge of a "
        f"{width:g} mm wide shell",
        quantity=reading.quantity,
        more=(
            f"Stop where it stands more than {UPRIGHT_WITHIN_DEG:g}° from upright in a mirror; then measure again.",
            *(("Check the tracking force afterwards.",) if evidence.deck.arm == "unipivot" else ()),
        ),
    )


def _shim(evidence: Evidence, reading: Reading) -> Move:
    """The substitute where the headshell can't be rolled; where that is not known, rolling comes first."""
    amount, way, width = round(abs(reading.value), 1), back_direction(reading.value), _width(evidence)
    side = "left" if way == "counter-clockwise" else "right"
    shim = round(edge_mm(amount, width), 2)
    fixed = evidence.deck.azimuth == "fixed"
    under = f"a shim of {figures(shim, 2)} mm between cartridge and headshell, on your {side} as you look at the front"
    turn = f"roll the headshell {figures(amount, 1)}° {way} seen from its front"
    return Move(
        what="shim under the cartridge" if fixed else "headshell",
        direction=f"on your {side} as you look at its front" if fixed else f"{way}, seen from the front",
        amount=shim if fixed else amount,
        unit="mm" if fixed else "°",
        because=_because(reading) + (", and the headshell can't be rolled" if fixed else ""),
        cautions=caution_ids(STEPS[0]),
        kind="adjust" if fixed else "suspect",
        key=KEY,
        words=f"put in {under}" if fixed else f"{turn}, if it can be rolled; if not, put in {under}",
        quantity=reading.quantity,
        more=(
            "Nip the screws by turns and set the tracking force again.",
            "If there is no room for a shim, leave it and say so on the sheet.",
        ),
    )


def _upright_by_eye(evidence: Evidence, reading: Reading) -> Move:
    unipivot = evidence.deck.arm == "unipivot"
    if evidence.deck.arm == "plug-in":
        return _leave(
            reading, "the mount fixes the cartridge; look whether it sits square in it, and at the cantilever"
        )
    return Move(
        what="lateral balance" if unipivot else "headshell",
        direction="upright",
        amount=None,
        unit=None,
        because=f"it leans beyond {UPRIGHT_WITHIN_DEG:g}°, which the eye can see",
        cautions=caution_ids(STEPS[0]),
        kind="adjust",
        key=KEY,
        words="set it upright by eye with the lateral balance, then measure again"
        if unipivot
        else "set it upright by eye, in a mirror, then measure again",
        quantity=reading.quantity,
        more=("If it already looks upright, look at the cantilever and at the tip, not at the headshell.",),
    )


def _polarity_first(reading: Reading) -> Move:
    return Move(
        what="recording",
        direction="a tone in both channels",
        amount=None,
        unit=None,
        because="which way it leans is not sure: no band showed that both channels are the right way round",
        cautions=(),
        kind="repeat",
        key=KEY,
        words="record a lateral tone of the same disc too, then the way to roll is known",
        quantity=reading.quantity,
    )


def _leave(reading: Reading, why: str) -> Move:
    return Move(
        what="azimuth",
        direction="as it is",
        amount=None,
        unit=None,
        because=why,
        cautions=(),
        kind="leave",
        key=KEY,
        words="leave it, and say so on the sheet",
        quantity=reading.quantity,
    )


def _because(reading: Reading) -> str:
    way = "clockwise" if reading.value > 0.0 else "counter-clockwise"
    return f"the leaks between the channels have opposite signs, as a {way} lean makes them"
