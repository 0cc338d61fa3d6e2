"""Dimensions of disc records (IEC 98:1987, later numbered IEC 60098).

Source: hobby tables that compare editions of the standard, clause by clause; lengths in mm.
"""

from __future__ import annotations

from functools import partial

from spindlewright.standards.provenance import Clause, Fact

SOURCE = "IEC 98:1987"

CLAUSES = (
    Clause("8.4", "pitch of the lead-in groove", True, "LEAD_IN_PITCH_MM"),
    Clause("8.5", "outermost recorded groove", True, "OUTERMOST_RADIUS_MM"),
    Clause("8.8", "pitch of the lead-out groove", True, "LEAD_OUT_PITCH_MM"),
    Clause("8.9", "finishing groove", True, "FINISHING_DIAMETER_30_CM_MM, FINISHING_DIAMETER_17_CM_MM"),
    Clause("(number not known)", "eccentricity of the groove to the hole", True, "ECCENTRICITY_MM (from memory)"),
    Clause("(number not known)", "centre hole", True, "HOLE_DIAMETER_MM (from memory)"),
    Clause("(number not known)", "warp", True, "WARP_MM (from memory)"),
    Clause("(number not known)", "groove cross-section", False, "numbers from memory differ, not used"),
)

_confirmed = partial(Fact, source=SOURCE, status="confirmed")
_recalled = partial(Fact, source=SOURCE, status="memory")

OUTERMOST_RADIUS_MM = {
    30: _confirmed("outermost recorded radius, 30 cm", 146.3, "mm", "8.5"),
    25: _confirmed("outermost recorded radius, 25 cm", 120.9, "mm", "8.5"),
    17: _confirmed("outermost recorded radius, 17 cm", 84.15, "mm", "8.5"),
}
"""By disc size in cm."""
LEAD_IN_PITCH_MM = (
    _confirmed("lead-in pitch, low", 0.8, "mm", "8.4"),
    _confirmed("lead-in pitch, high", 1.6, "mm", "8.4"),
)
LEAD_OUT_PITCH_MM = (
    _confirmed("lead-out pitch, low", 3.2, "mm", "8.8"),
    _confirmed("lead-out pitch, high", 9.6, "mm", "8.8"),
)
"""At least one turn of it."""
FINISHING_DIAMETER_30_CM_MM = (
    _confirmed("finishing groove diameter, 30 and 25 cm, low", 105.6, "mm", "8.9"),
    _confirmed("finishing groove diameter, 30 and 25 cm, high", 107.2, "mm", "8.9"),
)
FINISHING_DIAMETER_17_CM_MM = (
    _confirmed("finishing groove diameter, 17 cm, low", 96.4, "mm", "8.9"),
    _confirmed("finishing groove diameter, 17 cm, high", 98.4, "mm", "8.9"),
)
ECCENTRICITY_MM = _recalled("groove off the hole's centre, at most", 0.2, "mm", "")
HOLE_DIAMETER_MM = (
    _recalled("centre hole diameter, low", 7.24, "mm", ""),
    _recalled("centre hole diameter, high", 7.33, "mm", ""),
)
WARP_MM = _recalled("warp of a 30 cm disc, at most", 1.6, "mm", "")
