"""Samples missing in the middle of a tone, told by steps of its phase that stay."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from spindlewright.capture.fitness_item import FitnessItem


def missing_samples(jumps_s: Mapping[int, Sequence[float]]) -> tuple[FitnessItem, ...]:
    """One item for all bands with phase jumps; ``jumps_s`` holds the file times of the jumps by band index.

    The phase is joined up again at each jump, so speed and flutter come out; a warning is enough.
    """
    places = sorted(time for times in jumps_s.values() for time in times)
    if not places:
        return ()
    bands = tuple(sorted(index for index, times in jumps_s.items() if times))
    where = ", ".join(f"{time:.2f} s" for time in places[:5]) + (" …" if len(places) > 5 else "")
    plural = "places" if len(places) > 1 else "place"
    return (
        FitnessItem(
            code="missing_samples",
            severity="warn",
            message=f"Samples are missing at {len(places)} {plural} ({where}). "
            "The gaps were joined; close other programs and record again.",
            evidence={"count": len(places), "times_s": [round(time, 3) for time in places[:50]]},
            bands=bands,
        ),
    )
