"""How often the 95 % interval holds the truth, over many short random simulated decks.

    python benchmarks/coverage.py [--decks 1000] [--kept FILE] [--write]

Whole files through the whole engine. An upper bound (below the noise) counts as held when the truth is not above it,
in a column of its own. ``--kept`` names a file that keeps the decks done, so that a run can be carried on;
``--write`` puts the table into docs/interval-coverage.md. 1,000 decks take about an hour on two cores.
"""

from __future__ import annotations

import argparse
import json
import os
import tempfile
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import soundfile

from random_deck import LAYOUT, RATE_HZ, random_deck, without_noise
from spindlewright import measure
from spindlewright.simulate import render
from true_values import true_values

PAGE = Path(__file__).parent.parent / "docs" / "interval-coverage.md"
Row = tuple[str, float, bool, float]
"""Quantity and channel, error over uncertainty, whether it is an upper bound, uncertainty."""


def one_deck(seed: int) -> tuple[int, list[Row]]:
    """Seed, and every reading of one deck against the truth."""
    spec = random_deck(seed)
    performance, noise_free = render(spec), render(without_noise(spec))
    with tempfile.TemporaryDirectory() as folder:
        file = os.path.join(folder, "side.wav")
        soundfile.write(file, performance.samples, RATE_HZ, subtype="PCM_24")
        done = measure(file, layout=LAYOUT)
    rows = []
    for (quantity, channel), truth in true_values(noise_free, performance.truth, done.bands).items():
        reading = done.reading(quantity, channel)  # type: ignore[arg-type]
        if reading is None or truth is None:
            continue
        name = quantity + (f" {channel}" if channel else "")
        bound = bool(reading.conditions.get("below_noise"))
        rows.append((name, (reading.value - truth) / max(reading.uncertainty, 1e-15), bound, reading.uncertainty))
    return seed, rows


def table(results: list[list[Row]]) -> str:
    """Markdown table over all decks."""
    shares: dict[str, list[float]] = defaultdict(list)
    bounds: dict[str, list[bool]] = defaultdict(list)
    widths: dict[str, list[float]] = defaultdict(list)
    for rows in results:
        for name, error, bound, width in rows:
            if bound:
                bounds[name].append(error >= 0.0)
            else:
                shares[name].append(error)
                widths[name].append(width)
    lines = [
        "| quantity | readings | held, % | mean error / U | median U | bounds | bounds held, % |",
        "| --- " * 7 + "|",
    ]
    for name in sorted(set(shares) | set(bounds)):
        errors, kept = np.array(shares[name]), np.array(bounds[name])
        held = f"{100 * np.mean(np.abs(errors) <= 1):.1f}" if len(errors) else "–"
        mean = f"{errors.mean():+.2f}" if len(errors) else "–"
        width = f"{np.median(widths[name]):.2g}" if len(errors) else "–"
        bound = f"{100 * kept.mean():.1f}" if len(kept) else "–"
        lines.append(f"| {name} | {len(errors)} | {held} | {mean} | {width} | {len(kept)} | {bound} |")
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--decks", type=int, default=1000)
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--kept", type=Path)
    parser.add_argument("--write", action="store_true")
    chosen = parser.parse_args()
    done: dict[int, list[Row]] = {}
    if chosen.kept is not None and chosen.kept.exists():
        for line in chosen.kept.read_text().splitlines():
            seed, rows = json.loads(line)
            done[seed] = rows
    wanted = [seed for seed in range(chosen.first, chosen.first + chosen.decks) if seed not in done]
    with ProcessPoolExecutor(2) as pool:
        for seed, rows in pool.map(one_deck, wanted):
            done[seed] = rows
            if chosen.kept is not None:
                with chosen.kept.open("a") as file:
                    file.write(json.dumps([seed, rows]) + "\n")
    text = table(list(done.values()))
    print(text)
    if chosen.write:
        head = PAGE.read_text().split("| quantity |")[0]
        PAGE.write_text(head + text + "\n")


if __name__ == "__main__":
    main()
