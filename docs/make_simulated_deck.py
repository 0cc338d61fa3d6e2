"""Write ``docs/simulated-deck.md`` from the settings themselves: ``python3 docs/make_simulated_deck.py``.

Needs Spindlewright installed (or ``src`` on the path).
"""

from __future__ import annotations

import sys
from pathlib import Path

PAGE = Path(__file__).with_name("simulated-deck.md")

HEAD = """# Settings of a simulated deck

Everything `spindlewright simulate SPEC.toml OUT.wav` understands in its TOML file. This page is written by
`docs/make_simulated_deck.py` from the settings themselves; do not edit it. What is left out is ideal: exact speed, an
upright cartridge, no noise, no hum.

- Speed errors are positive when the sound comes out fast. Flutter peaks are zero-to-peak.
- Velocities are zero-to-peak. A lateral or vertical tone of velocity v moves each groove wall by v/√2.
- `phono.level_dbfs` is the level that 5 cm/s peak per wall at 1 kHz has in the file (0 dBFS: a full-scale sine).
- A heading in double brackets may be given several times.
"""


def page() -> str:
    """The page as it should be."""
    from spindlewright.simulate.knob import KnobRow, describe
    from spindlewright.simulate.spec import Spec

    tables: dict[str, tuple[str, list[KnobRow]]] = {"": ("The take", [])}
    for row in describe(Spec):
        if row.table:
            tables[row.key] = (row.meaning, [])
        else:
            tables[row.key.rpartition(".")[0]][1].append(row)
    parts = [HEAD]
    for key, (meaning, rows) in tables.items():
        name = key.replace("[]", "")
        heading = "At the top of the file" if not key else f"`[[{name}]]`" if key.endswith("[]") else f"`[{name}]`"
        parts.append(f"\n## {heading}\n")
        if key:
            parts.append(f"\n{meaning[0].upper()}{meaning[1:]}.\n")
        if rows:
            parts.append("\n| setting | unit | allowed | default | meaning |\n| --- | --- | --- | --- | --- |\n")
        for row in rows:
            last = row.key.rpartition(".")[2]
            parts.append(f"| `{last}` | {row.unit} | {row.allowed} | {row.default} | {row.meaning} |\n")
    return "".join(parts)


def main(arguments: list[str]) -> int:
    """Write or check the page."""
    wanted = page()
    if "--check" in arguments:
        fresh = PAGE.exists() and PAGE.read_text(encoding="utf-8") == wanted
        print(f"{PAGE.name} is up to date." if fresh else "Stale: run python3 docs/make_simulated_deck.py")
        return 0 if fresh else 1
    PAGE.write_text(wanted, encoding="utf-8")
    print(f"Wrote {PAGE.name}.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
