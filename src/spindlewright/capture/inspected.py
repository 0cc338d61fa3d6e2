"""What the sample-level inspection of a recording found."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.capture.fitness_item import FitnessItem


@dataclass(frozen=True, slots=True)
class Inspected:
    """What the samples say; tuples of two are (left, right), full scale 1, times in s from the start of the file.

    ``loud_rms`` is the level, without its mean, that is exceeded for 2 s in all (a fifth of a shorter sound):
    needle-drop thumps and ticks do not set it. ``offset`` is the size of the steady mean: of the whole and of most
    chunks, the smaller. ``clipped_s`` and ``held_s`` are (start, stop) of flat tops and holes;
    ``constant`` tells channels in which nothing ever changes.
    """

    duration_s: float
    peak: tuple[float, float]
    mean: tuple[float, float]
    offset: tuple[float, float]
    rms: tuple[float, float]
    loud_rms: tuple[float, float]
    clipped_s: tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]
    held_s: tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]
    constant: tuple[bool, bool] = (False, False)
    fitness: tuple[FitnessItem, ...] = ()

    @property
    def is_silent(self) -> bool:
        """True when no sample of either channel differs from its first: there is nothing to measure."""
        return all(self.constant)
