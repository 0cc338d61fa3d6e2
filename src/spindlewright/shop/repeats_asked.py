"""What After is to repeat: for each way in which Before was recorded, one recording made the same way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from spindlewright.shop.as_views import options_words
from spindlewright.shop.views.recordings import CaptureOptions, CaptureView, RepeatAsked

if TYPE_CHECKING:
    Way = tuple[str, float | None, str, bool, str]


def way_of(options: CaptureOptions) -> Way:
    """What must be the same for a repeat: disc, speed, chain, arm lifted or not, headshell."""
    rpm = None if options.rpm is None else round(options.rpm, 3)
    return options.disc.casefold(), rpm, options.chain, options.arm_lifted, options.headshell.casefold()


def repeats_asked(before: Sequence[CaptureView], after: Sequence[CaptureView]) -> tuple[RepeatAsked, ...]:
    """One for each way among the recordings of Before that could be measured, in their order."""
    there = {way_of(capture.options) for capture in after if capture.state != "failed"}
    asked: dict[Way, RepeatAsked] = {}
    for capture in before:
        way = way_of(capture.options)
        if capture.state == "failed" or way in asked:
            continue
        how = options_words(capture.options)
        words = f"{capture.file_name} ({how})" if how else capture.file_name
        asked[way] = RepeatAsked(capture.id, capture.file_name, capture.options, words, way in there)
    return tuple(asked.values())
