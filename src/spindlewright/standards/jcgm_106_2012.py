"""Decision rule: guarded acceptance and guarded rejection (JCGM 106:2012 clauses 8.3.2 and 8.3.3).

The guard band is the half-width of the 95 % interval. A reading is ``within`` only when its whole interval
lies inside the limits, ``outside`` only when its whole interval lies beyond one of them, else
``undecided``.

Status: rule as the document describes it, clause numbers from memory.
"""

from __future__ import annotations

from typing import Literal

from spindlewright.standards.provenance import Clause

Verdict = Literal["within", "outside", "undecided"]

CLAUSES = (
    Clause("8.2", "simple acceptance (no guard band)", False, "never used: it hides the uncertainty"),
    Clause("8.3.2", "guarded acceptance", True, "decide: within"),
    Clause("8.3.3", "guarded rejection", True, "decide: outside"),
    Clause("9", "consumer's and producer's risk", False, "needs prior knowledge of decks that a bench lacks"),
)


def decide(value: float, uncertainty: float, low: float | None, high: float | None) -> Verdict:
    """Verdict for ``value`` ± ``uncertainty`` against the limits (same unit; None: no limit on that side).

    Not a number and infinite uncertainty are ``undecided``. Raises ValueError for a negative uncertainty,
    for no limit at all and for limits in the wrong order.

    >>> decide(0.12, 0.02, None, 0.2)
    'within'
    >>> decide(0.19, 0.02, None, 0.2)
    'undecided'
    >>> decide(0.23, 0.02, None, 0.2)
    'outside'
    """
    if uncertainty < 0.0:
        raise ValueError(f"uncertainty of a reading: found {uncertainty}, allowed are values from 0 up")
    if low is None and high is None:
        raise ValueError("limits of a verdict: found neither low nor high, give at least one")
    if low is not None and high is not None and low > high:
        raise ValueError(f"limits of a verdict: found low {low} above high {high}, low must not exceed high")
    if (high is not None and value - uncertainty > high) or (low is not None and value + uncertainty < low):
        return "outside"
    if (high is None or value + uncertainty <= high) and (low is None or value - uncertainty >= low):
        return "within"
    return "undecided"
