"""Write ``docs/quantities.md`` from the register of methods: ``python3 docs/make_quantities.py``.

With ``--check`` nothing is written; the exit status is 1 when the page is stale. Needs Spindlewright installed (or
``src`` on the path).
"""

from __future__ import annotations

import sys
from pathlib import Path

PAGE = Path(__file__).with_name("quantities.md")

HEAD = """# Quantities

Every quantity Spindlewright reads, with its unit, its exact definition, and where that comes from.
This page is written by `docs/make_quantities.py` from the methods themselves; do not edit it.

The uncertainty of a value is the half-width of the interval that holds the true value in 95 of
100 cases (JCGM 101). A value below what can be seen is given as its upper bound, with `below_noise` in its conditions.

"""


def page() -> str:
    """The page as it should be."""
    from spindlewright.readings.register import METHODS

    parts = [HEAD]
    for method in METHODS:
        if not method.quantities:
            continue
        parts.append(f"## {method.name[0].upper()}{method.name[1:]}\n\n")
        parts.append(f"Method version {method.version}.\n\n")
        for quantity in method.quantities:
            parts.append(f"**`{quantity.name}`** in {quantity.unit}: {quantity.definition}.\n")
            parts.append(f"*Source: {quantity.source}.*\n\n")
    return "".join(parts).rstrip("\n") + "\n"


def main(arguments: list[str]) -> int:
    """Write or check the page."""
    wanted = page()
    if "--check" in arguments:
        fresh = PAGE.exists() and PAGE.read_text(encoding="utf-8") == wanted
        print("docs/quantities.md is up to date." if fresh else "Stale: run python3 docs/make_quantities.py")
        return 0 if fresh else 1
    PAGE.write_text(wanted, encoding="utf-8")
    print(f"Wrote {PAGE.name}.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
