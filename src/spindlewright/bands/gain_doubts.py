"""Signs that the recorder changed its gain: tones that start too loud, or noise that swells when a tone ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.bands.lines import decibels
from spindlewright.bands.quiet import noise_track
from spindlewright.bands.side_found import SideFound
from spindlewright.capture.fitness_item import FitnessItem

SAG_DB = 1.5
SWELL_DB = 4.0
LATER_S = 3.0
SHARE = 0.6


def gain_doubts(side: SideFound) -> list[FitnessItem]:
    """One ``gain_changes`` item when most tones sag from their start, or the noise swells after most of them."""
    sags = [s for s in (_sag(band, side) for band in side.tones) if s is not None]
    noise = noise_track(side.survey)
    swells = [s for s in (_swell(index, side, noise) for index in range(len(side.bands))) if s is not None]
    evidence: dict[str, float | int] = {}
    sagging = [s for s in sags if s > SAG_DB]
    if sagging and len(sagging) > SHARE * len(sags):
        evidence["tones_sag_db"] = round(float(np.median(sagging)), 1)
        evidence["tones"] = len(sagging)
    swelling = [s for s in swells if s > SWELL_DB]
    if swelling and len(swelling) > SHARE * len(swells):
        evidence["noise_swells_db"] = round(float(np.median(swelling)), 1)
        evidence["gaps"] = len(swelling)
    if not evidence:
        return []
    seen = []
    if "tones_sag_db" in evidence:
        seen.append(f"tones sag by {evidence['tones_sag_db']:.1f} dB after they begin")
    if "noise_swells_db" in evidence:
        seen.append(f"the noise swells by {evidence['noise_swells_db']:.1f} dB after they end")
    message = (
        f"The recorder changes its gain by itself: {' and '.join(seen)}. Switch off automatic gain, limiter and noise "
        "suppression in recorder and system, then record again."
    )
    return [FitnessItem("gain_changes", "stop", message, evidence=evidence)]


def _sag(band: Band, side: SideFound) -> float | None:
    """How much louder both channels are at the start of a tone than later, in dB; None when that can't be judged.

    Bands that follow another without a gap count from their own start too, but only as one tone with it.
    """
    frame_s = side.survey.frame_s
    first, stop = round(band.start_s / frame_s) + 1, round(band.end_s / frame_s) - 1
    before = [b for b in side.bands if b.index < band.index]
    if before and band.start_s - before[-1].end_s < 1.0 and before[-1].kind in (*TONE_KINDS, "noise", "sweep"):
        return None
    # the same tone may have been parted where its level fell: follow it on
    for other in side.bands[band.index + 1 :]:
        same = other.frequency_hz and band.frequency_hz and abs(other.frequency_hz / band.frequency_hz - 1) < 0.01
        if other.kind != band.kind or not same or other.start_s - stop * frame_s > 0.3:
            break
        stop = round(other.end_s / frame_s) - 1
    if (stop - first) * frame_s < 2 * LATER_S or band.frequency_hz is None or band.frequency_hz < 150.0:
        return None
    lines = side.found.lines
    channels = [lines.left, lines.right]
    if band.kind in ("left", "right"):
        channels = [lines.left] if band.kind == "left" else [lines.right]
    near = np.abs(lines.hz[first:stop] / band.frequency_hz - 1.0) < 0.05
    falls = []
    for power in channels:
        level = decibels(power[first:stop])[near]
        if level.size < 40:
            return None
        early = float(np.median(level[:4]))
        late = float(np.median(level[round(LATER_S / frame_s) :])) if level.size > LATER_S / frame_s + 10 else early
        falls.append(early - late)
    return min(falls, key=abs) if len({f > 0 for f in falls}) == 1 else 0.0


def _swell(index: int, side: SideFound, track: NDArray[np.float64]) -> float | None:
    """How much the noise rises within the quiet stretch after a tone, in dB; None when there is none of 3 s."""
    band = side.bands[index]
    if band.kind not in TONE_KINDS:
        return None
    following = side.bands[index + 1].start_s if index + 1 < len(side.bands) else side.survey.duration_s
    quiet_to = following
    if index + 1 < len(side.bands) and side.bands[index + 1].kind in ("silence", "run_out"):
        quiet_to = side.bands[index + 1].end_s
    frame_s = side.survey.frame_s
    first, stop = round(band.end_s / frame_s) + 2, round(quiet_to / frame_s) - 2
    if (stop - first) * frame_s < LATER_S:
        return None
    noise = track[first:stop]
    early = float(np.median(noise[6:12]))
    late = float(np.median(noise[-round(1.0 / frame_s) :]))
    middle = float(np.median(noise[noise.size // 3 : 2 * noise.size // 3]))
    # a needle lifted or set down jumps; a gain control glides and stays
    steps = float(np.abs(np.diff(noise)).max())
    return late - early if early - 1.0 < middle < late + 1.0 and steps < 0.6 * max(abs(late - early), 1.0) else 0.0
