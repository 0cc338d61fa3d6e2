"""Whether a file came whole: what its header promised against what could be decoded."""

from __future__ import annotations

from spindlewright.capture.fitness_item import FitnessItem

LOSSY_SLACK_S = 0.2
"""Coded formats state their length only to within a few of their own frames (common practice)."""


def fitness_of_file(
    *,
    rate_hz: int,
    frames: int,
    declared_frames: int | None,
    lossy: bool,
    damage: tuple[int, str] | None,
    changed: bool,
) -> tuple[FitnessItem, ...]:
    """``truncated`` items; ``damage`` is the frame where decoding stopped too soon, and the reason."""
    items = []
    read = frames if damage is None else damage[0]
    promised = max(frames, declared_frames or 0)
    slack = LOSSY_SLACK_S * rate_hz if lossy else 0.5
    if promised - read > slack:
        items.append(_cut_off(read / rate_hz, promised / rate_hz, damage))
    if declared_frames is None:
        items.append(
            FitnessItem(
                code="truncated",
                severity="warn",
                message="The recorder did not finish the file: its header does not say how long it is. "
                f"All {frames / rate_hz:.1f} s were read; the end may be missing.",
                evidence={"read_s": frames / rate_hz},
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


def _cut_off(read_s: float, promised_s: float, damage: tuple[int, str] | None) -> FitnessItem:
    evidence: dict[str, object] = {"read_s": read_s, "promised_s": promised_s}
    if damage is not None:
        evidence["reason"] = damage[1]
    why = "can be decoded" if damage is not None else "are there"
    return FitnessItem(
        code="truncated",
        severity="warn",
        message=f"The file promises {promised_s:.1f} s of sound, but only the first {read_s:.1f} s {why}. "
        "What is there was measured; copy the file again, or record again.",
        evidence=evidence,
    )
