"""Acceptance limits by name: what a reading is held against, each limit with its source.

The sets are built from the tables of ``din_45500_3_1966``, ``csn_36_8401_1984`` and ``bench_targets``; a user's
own set is read from TOML (``limits_from_toml``). Names say what a set is for, not who wrote it.
"""

from __future__ import annotations

import difflib
from functools import cache

from spindlewright.standards import bench_targets, csn_36_8401_1984, din_45500_3_1966
from spindlewright.standards.limit_set import Limit, LimitSet, set_from_requirements
from spindlewright.standards.own_limits import LimitsError, limits_from_toml

__all__ = ["DEFAULT", "Limit", "LimitSet", "LimitsError", "find_limits", "limits_from_toml", "named_limits"]

DEFAULT = "hi-fi-minimum"


@cache
def _sets() -> dict[str, LimitSet]:
    minimum, minimum_1984 = din_45500_3_1966, csn_36_8401_1984
    sets = [
        set_from_requirements(DEFAULT, minimum.TITLE, minimum.SOURCE, minimum.REQUIREMENTS),
        set_from_requirements(
            "hi-fi-minimum-1984", minimum_1984.TITLE, minimum_1984.SOURCE, minimum_1984.REQUIREMENTS
        ),
    ]
    for drive in bench_targets.DRIVES:
        rows = (bench_targets.speed_requirement(drive), *bench_targets.REQUIREMENTS)
        title = f"Bench targets, {drive.in_words}"
        sets.append(set_from_requirements(f"bench-{drive.kind}", title, "common practice, no source", rows))
    return {one.name: one for one in sets}


def named_limits() -> dict[str, LimitSet]:
    """All shipped sets by name, the default first.

    >>> named_limits()["bench-servo"].limits["speed_deviation"].high
    0.2
    """
    return dict(_sets())


def find_limits(name: str = DEFAULT) -> LimitSet:
    """The shipped set of that name; raises LimitsError with the names there are.

    >>> limit = find_limits("hi-fi-minimum").limits["speed_deviation"]
    >>> (limit.low, limit.high)
    (-1.0, 1.5)
    """
    sets = _sets()
    if name in sets:
        return sets[name]
    near = difflib.get_close_matches(name, sets, n=1)
    hint = f"; did you mean {near[0]}?" if near else ""
    raise LimitsError(
        f"limits: found the name '{name}', allowed are {', '.join(sets)}, or a TOML file of your own{hint}"
    )
