"""Decision rule: guarded acceptance and guarded rejection (JCGM 106:2012 clauses 8.3.2 and 8.3.3).

The guard band is the half-width of the 95 % interval. A reading is ``within`` only when its whole interval
lies inside the limits, ``outside`` only when its whole interval lies beyond one of them, else
``undecided``.

Status: rule as the document describes it, clause numbers from memory.
"""

from __future__ import annotations

from typing import Literal

Verdict = Literal["within", "outside", "undecided"]


def decide(value: float, uncertainty: float, low: float | None, high: float | None) -> Verdict:
    """Verdict for ``value`` ± ``uncertainty`` against the limits (same unit; None: no limit on that side).

    >>> decide(0.12, 0.02, None, 0.2)
    'within'
    >>> decide(0.19, 0.02, None, 0.2)
    'undecided'
    """
    if (high is not None and value - uncertainty > high) or (low is not None and value + uncertainty < low):
        return "outside"
    if (high is None or value + uncertainty <= high) and (low is None or value - uncertainty >= low):
        return "within"
    return "undecided"
