"""Minimum requirements for hi-fi record players (DIN 45500 part 3).

The values come from three secondary pages that do not say which edition they quote; the series first appeared in
1966 and was replaced in 1996 by DIN EN 61305. Rows that are recalled for a later edition stand in
``LATER_EDITION``. Statuses are per row. IEC 60581-3:1978 is believed close to this table; none of its numbers
were seen, so there is no module for it.
"""

from __future__ import annotations

from functools import partial

from spindlewright.standards.provenance import Clause
from spindlewright.standards.requirement import AT_1_KHZ, QUOTED, Requirement

TITLE = "Hi-fi minimum requirements"
SOURCE = "DIN 45500 part 3"

CLAUSES = (
    Clause("(number not known)", "speed, wow and flutter, rumble", True, "REQUIREMENTS"),
    Clause("(number not known)", "channel difference, crosstalk, intermodulation", True, "REQUIREMENTS"),
    Clause("(number not known)", "frequency response", False, "secondary sources show a picture only"),
    Clause("(number not known)", "compliance, tip, tip mass", True, "REQUIREMENTS, no reading of this tool"),
    Clause("(number not known)", "ambient conditions of the test", True, "AMBIENT"),
)

_row = partial(Requirement, source=SOURCE, status="confirmed", condition=QUOTED)
_recalled = partial(Requirement, source=SOURCE, status="memory", condition="later edition")
_FLUTTER = ("wow_flutter_weighted", "wow_flutter_weighted_quasi_peak")
_CROSSTALK = ("crosstalk_left_to_right", "crosstalk_right_to_left")
_RUMBLE = "reference 10 cm/s peak at 1 kHz; " + QUOTED
_ENDS = "quoted for both ends in a secondary source, the range between is recalled"
_FORCE = "printed as 5 mN in the secondary source, read as a slip for 50 mN"
_INTERMODULATION = "400 Hz and 4 kHz, 6 dB apart; " + QUOTED

REQUIREMENTS: tuple[Requirement, ...] = (
    _row("speed within +1.5/−1.0 %", -1.0, 1.5, "%", ("speed_deviation",)),
    _row("weighted wow and flutter at most ±0.2 %, zero to peak", None, 0.2, "%", _FLUTTER),
    _row("unweighted rumble at least 35 dB down", None, -35.0, "dB", ("rumble_unweighted",), condition=_RUMBLE),
    _row("weighted rumble at least 50 dB down", None, -50.0, "dB", ("rumble_weighted",), condition=_RUMBLE),
    _row("channel difference at 1 kHz at most 2 dB", -2.0, 2.0, "dB", ("channel_balance",)),
    _row("crosstalk at 1 kHz at least 20 dB down", None, -20.0, "dB", _CROSSTALK, AT_1_KHZ),
    _row(
        "crosstalk 0.5 to 6.3 kHz at least 15 dB down", None, -15.0, "dB", _CROSSTALK, (480.0, 6600.0), condition=_ENDS
    ),
    _row("intermodulation below 1 %", None, 1.0, "%", ("intermodulation",), condition=_INTERMODULATION),
    _row("tracking force at most 50 mN", None, 50.0, "mN", ("tracking_force",), status="memory", condition=_FORCE),
    _row("static compliance at least 4 mm/N", 4.0, None, "mm/N"),
    _row("spherical tip radius 15 ± 2 µm", 13.0, 17.0, "µm"),
    _row("effective tip mass at most 2 mg", None, 2.0, "mg"),
)

LATER_EDITION: tuple[Requirement, ...] = (
    _recalled("weighted rumble at least 55 dB down", None, -55.0, "dB"),
    _recalled("response 40 to 63 Hz within ±5 dB", -5.0, 5.0, "dB"),
    _recalled("response 63 Hz to 8 kHz within ±2 dB", -2.0, 2.0, "dB"),
    _recalled("response 8 to 12.5 kHz within ±5 dB", -5.0, 5.0, "dB"),
    _recalled("frequency intermodulation at most 1 %", None, 1.0, "%"),
    _recalled("tracking force at most 30 mN", None, 30.0, "mN"),
    _recalled("compliance at least 8 µm/mN", 8.0, None, "µm/mN"),
    _recalled("spherical tip radius 15 ± 3 µm", 12.0, 18.0, "µm"),
    _recalled("vertical tracking angle 15 ± 5°, old", 10.0, 20.0, "°"),
    _recalled("vertical tracking angle 20 ± 5°, new", 15.0, 25.0, "°"),
)

AMBIENT: tuple[Requirement, ...] = (
    _row("temperature of the test", 15.0, 35.0, "°C"),
    _row("relative humidity of the test", 45.0, 75.0, "%"),
)
