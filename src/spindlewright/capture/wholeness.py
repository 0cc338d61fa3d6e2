"""Whether a file came whole: what its header promised against what could be decoded."""

from __future__ import annotations

from collections.abc import Sequence

from spindlewright.capture.decoder import Damage
from spindlewright.capture.fitness_item import FitnessItem

LOSSY_SLACK_S = 0.2
"""Coded formats state their length only to within a few of their own frames (common practice)."""


def fitness_of_file(
    *,
    rate_hz: int,
    frames: int,
    declared_frames: int | None,
    lossy: bool,
    damage: Sequence[Damage],
    longest_s: float,
    unclaimed_bytes: int,
    changed: bool,
) -> tuple[FitnessItem, ...]:
    """``truncated`` items; ``damage`` in the order of its frames."""
    items = []
    end = next((place for place in damage if place.stop is None), None)
    read = frames if end is None else end.start
    promised = max(frames, declared_frames or 0)
    slack = LOSSY_SLACK_S * rate_hz if lossy else 0.5
    if promised - read > slack:
        items.append(_cut_off(read / rate_hz, promised / rate_hz, end))
    holes = [(place.start / rate_hz, place.stop / rate_hz) for place in damage if place.stop is not None]
    if holes:
        items.append(_holes(holes, damage[0].reason))
    if frames > longest_s * rate_hz:
        items.append(
            FitnessItem(
                code="truncated",
                severity="warn",
                message=f"The recording lasts {frames / rate_hz / 3600:.1f} hours; only the first "
                f"{longest_s / 3600:.0f} hours were measured. Cut it into one file for each side.",
                evidence={"duration_s": frames / rate_hz, "read_s": longest_s},
            )
        )
    if declared_frames is None:
        items.append(
            FitnessItem(
                code="truncated",
                severity="warn",
                message="The file was never finished and does not say how long it is: the recorder was stopped, or "
                f"the file is cut off. All {frames / rate_hz:.1f} s of it were read; the end may be missing.",
                evidence={"read_s": frames / rate_hz},
            )
        )
    if unclaimed_bytes > 0:
        items.append(
            FitnessItem(
                code="truncated",
                severity="warn",
                message=f"The header promises {frames / rate_hz:.1f} s of sound, yet {unclaimed_bytes} more bytes "
                "follow that belong to nothing. Only what is promised was measured; save the file anew in a sound "
                "editor.",
                evidence={"unclaimed_bytes": unclaimed_bytes},
            )
        )
    if changed:
        items.append(
            FitnessItem(
                code="truncated",
                severity="warn",
                message="The file was changed while it was being read, so a part of it may be missing or mixed. "
                "Stop the recorder, then measure again.",
                evidence={"changed": True},
            )
        )
    return tuple(items)


def _cut_off(read_s: float, promised_s: float, end: Damage | None) -> FitnessItem:
    evidence: dict[str, object] = {"read_s": read_s, "promised_s": promised_s}
    if end is not None:
        evidence["reason"] = end.reason
    why = "can be decoded" if end is not None else "are there"
    return FitnessItem(
        code="truncated",
        severity="warn",
        message=f"The file promises {promised_s:.1f} s of sound, but only the first {read_s:.1f} s {why}. "
        "What is there was measured; copy the file again, or record again.",
        evidence=evidence,
    )


def _holes(holes: list[tuple[float, float]], reason: str) -> FitnessItem:
    where = ", ".join(f"{start:.2f} s" for start, _ in holes[:5]) + (" …" if len(holes) > 5 else "")
    lost = sum(stop - start for start, stop in holes)
    return FitnessItem(
        code="truncated",
        severity="warn",
        message=f"The file is damaged at {len(holes)} place{'s' if len(holes) > 1 else ''} ({where}); {lost:.2f} s "
        "could not be decoded and were taken as silence. Copy the file again.",
        evidence={"count": len(holes), "intervals_s": [list(hole) for hole in holes], "reason": reason},
    )
