"""Write the pages that come from the code: ``python3 docs/make_pages.py``.

``quantities.md`` from the register of methods, ``fitness.md`` from the table of fitness codes. With
``--check`` nothing is written; the exit status is 1 when a page is stale.
Needs Spindlewright installed, or ``src`` on the path.
"""

from __future__ import annotations

import sys
from pathlib import Path

FOLDER = Path(__file__).parent
WRITTEN = "This page is written by `docs/make_pages.py` from the code itself; do not edit it.\n"


def quantities() -> str:
    """Every quantity with its definition and source."""
    from spindlewright.readings.register import METHODS

    parts = [
        "# Quantities\n\n",
        "Every quantity Spindlewright reads, with its unit, its exact definition, and where that comes from.\n",
        'Where a source says "readings contract", the definition on this page is meant.\n',
        f"{WRITTEN}\n",
        "The uncertainty of a value is the half-width of the interval that holds the true value in 95 of 100 cases "
        "(JCGM 101).\nA value below what can be seen is given as its upper bound, with `below_noise` in its "
        "conditions.\n\n",
    ]
    for method in METHODS:
        if not method.quantities:
            continue
        parts.append(f"## {method.name[0].upper()}{method.name[1:]}\n\nMethod version {method.version}.\n\n")
        for quantity in method.quantities:
            parts.append(f"**`{quantity.name}`** in {quantity.unit}: {quantity.definition.rstrip('.')}.\n")
            parts.append(f"*Source: {quantity.source.rstrip('.')}.*\n\n")
    return "".join(parts).rstrip("\n") + "\n"


def fitness() -> str:
    """Every fitness code: what it means, what to do, what it leaves out."""
    from spindlewright.capture.fitness_codes import FITNESS_CODES
    from spindlewright.wording import quantities_in_words

    parts = [
        "# Fitness messages\n\n",
        "What may be wrong with a recording, what to do about it, and which readings it spoils.\n",
        f"{WRITTEN}\n",
        "A `STOP` leaves out the readings named under *Leaves out*, of the bands and the channel it speaks of; all "
        "others still come\nout. A `note` leaves nothing out. The same code may come as either, by how bad it is.\n\n",
    ]
    for entry in FITNESS_CODES.values():
        usual = "STOP" if entry.severity == "stop" else "note"
        spoiled = [quantity for spoil in entry.spoils for quantity in spoil.quantities]
        parts.append(f"## `{entry.code}`\n\n{entry.meaning} Usually a `{usual}`.\n\n")
        parts.append(f"- **What to do:** {entry.remedy}\n")
        parts.append(f"- **Leaves out, as a `STOP`:** {quantities_in_words(spoiled) or 'nothing'}.\n")
        parts.append(f"- **Why:** {entry.because}\n\n")
    return "".join(parts).rstrip("\n") + "\n"


PAGES = {"quantities.md": quantities, "fitness.md": fitness}


def main(arguments: list[str]) -> int:
    """Write or check the pages."""
    stale = []
    for name, page in PAGES.items():
        path, wanted = FOLDER / name, page()
        if "--check" not in arguments:
            path.write_text(wanted, encoding="utf-8")
        elif not path.exists() or path.read_text(encoding="utf-8") != wanted:
            stale.append(name)
    if stale:
        print(f"Stale: {', '.join(stale)}. Run python3 docs/make_pages.py")
        return 1
    print(f"Up to date: {', '.join(PAGES)}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
