"""Requirements for hi-fi record players of 1984 (ČSN 36 8401 and 36 8415, drawn up after IEC).

All values from one secondary page that lists ČSN 36 8401, 8415 and 8430.
"""

from __future__ import annotations

from functools import partial

from spindlewright.standards.provenance import Clause
from spindlewright.standards.requirement import AT_1_KHZ, QUOTED, Requirement

TITLE = "Hi-fi minimum requirements of 1984"
SOURCE = "ČSN 36 8401 / 36 8415 (1984)"

CLAUSES = (
    Clause("(number not known)", "speed, wow and flutter, rumble", True, "REQUIREMENTS"),
    Clause("(number not known)", "channel difference, crosstalk", True, "REQUIREMENTS"),
    Clause("(number not known)", "frequency response", True, "REQUIREMENTS, spans that no reading covers yet"),
    Clause("(number not known)", "methods of measurement", False, "not seen"),
)

_row = partial(Requirement, source=SOURCE, status="confirmed", condition=QUOTED)
_FLUTTER = ("wow_flutter_weighted", "wow_flutter_weighted_quasi_peak")
_CROSSTALK = ("crosstalk_left_to_right", "crosstalk_right_to_left")
_NEAREST = "the row whose band is nearest to this reading's; " + QUOTED
_LINEAR = "without limit of band, no reading of this tool; " + QUOTED

REQUIREMENTS: tuple[Requirement, ...] = (
    _row("speed within ±1.2 %", -1.2, 1.2, "%", ("speed_deviation",)),
    _row("weighted wow and flutter at most ±0.15 %, zero to peak", None, 0.15, "%", _FLUTTER),
    _row("rumble 10 to 315 Hz at least 38 dB down", None, -38.0, "dB", ("rumble_unweighted",), condition=_NEAREST),
    _row("linear rumble at least 40 dB down", None, -40.0, "dB", condition=_LINEAR),
    _row("channel difference at 1 kHz at most 2 dB", -2.0, 2.0, "dB", ("channel_balance",)),
    _row("crosstalk at 1 kHz at least 20 dB down", None, -20.0, "dB", _CROSSTALK, AT_1_KHZ),
    _row("crosstalk at 6.3 kHz at least 15 dB down", None, -15.0, "dB", _CROSSTALK, (6000.0, 6600.0)),
    _row("response, spread 63 Hz to 8 kHz", None, 4.0, "dB"),
    _row("response, spread 40 Hz to 12.5 kHz", None, 6.0, "dB"),
    _row("response, spread 40 Hz to 16 kHz", None, 10.0, "dB"),
    _row("tracking force at most 30 mN", None, 30.0, "mN", ("tracking_force",)),
    _row("vertical static compliance at least 3 mm/N", 3.0, None, "mm/N"),
    _row("lateral static compliance at least 3.5 mm/N", 3.5, None, "mm/N"),
)
