"""From the samples of one band to the observations of every method that wants it.

A listener makes the views of the sound that its methods ask for, each once, and feeds the methods' states. A file
and a live input use it alike: feed blocks of any size, ask for observations at any time.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Sequence

import numpy as np

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.readings.method import Method, Observation, State, Stretch, View
from spindlewright.readings.side import Side
from spindlewright.signal.blocks import Rebuffer
from spindlewright.signal.decimating_filter import DecimatingFilter, carrier_filter, low_band_filter
from spindlewright.signal.impulses import ImpulseDetector, Impulses
from spindlewright.signal.phase_track import PhaseTrack

CHUNK_S = 1.3
"""Length of the chunks in which the sound is worked on; readings never depend on it by more than rounding."""
TICK_MARGIN_S = 0.0005


class Listener:
    """States of all ``methods`` that want ``band``; feed float32 (n, 2) from file time ``start_s`` on."""

    def __init__(self, band: Band, side: Side, methods: Sequence[Method], start_s: float) -> None:
        self.band = band
        self.start_s = start_s
        self.phase_jumps_s: list[float] = []
        wanted = [m for m in methods if m.wants(band, side)]
        views = {m.view for m in wanted}
        rate = side.sample_rate_hz
        self._rate = rate
        tone = band.frequency_hz if band.kind in TONE_KINDS else None
        self._carrier: DecimatingFilter | None = None
        self._low: DecimatingFilter | None = None
        self._track: PhaseTrack | None = None
        self._impulses: ImpulseDetector | None = None
        self._bad_until = -1.0
        multiples = [1]
        if tone is not None and views & {"carrier", "phase"}:
            self._carrier = carrier_filter(rate, tone)
            multiples.append(self._carrier.decimation)
        if "low" in views:
            self._low = low_band_filter(rate)
            multiples.append(self._low.decimation)
        if self._carrier is not None and "phase" in views:
            self._track = PhaseTrack(self._carrier.output_rate_hz, *_combination(band))
        if self._track is not None or "impulses" in views:
            self._impulses = ImpulseDetector(rate, () if tone is None else (tone,))
            multiples.append(self._impulses.chunk_multiple)
        together = math.lcm(*multiples)
        self.chunk_frames = together * max(1, round(CHUNK_S * rate / together))
        self._buffer = Rebuffer(self.chunk_frames, 2)
        self._planar = np.empty((2, self.chunk_frames), np.float32)
        self._skip_carrier = self._carrier.warm_up if self._carrier else 0
        self._skip_low = self._low.warm_up if self._low else 0
        self._carrier_rows = 0
        self._frames = 0
        self._states: list[tuple[Method, State]] = [
            (m, m.start(self._stretch(m.view, tone), side))
            for m in wanted
            if m.view in ("low", "wide", "impulses") or self._carrier is not None
        ]

    @property
    def is_idle(self) -> bool:
        """True when no method wants this band."""
        return not self._states

    def feed(self, block: np.ndarray) -> None:
        """Take float32 (n, 2), any n."""
        for chunk in self._buffer.feed(block):
            self._work(chunk, len(chunk))

    def observe(self) -> list[tuple[Method, Observation]]:
        """Observations over everything fed so far; feeding may go on afterwards."""
        shared: dict[int, object] = {id(m): m for m, _ in self._states}
        last = copy.deepcopy(self, shared)
        last._flush()
        return last._observations()

    def finish(self) -> list[tuple[Method, Observation]]:
        """The same at the end of the band; the listener takes no more sound."""
        self._flush()
        return self._observations()

    def _observations(self) -> list[tuple[Method, Observation]]:
        seen = [(method, state.observe()) for method, state in self._states]
        return [(method, Observation(self.band, data)) for method, data in seen if data is not None]

    def _stretch(self, view: View, tone: float | None) -> Stretch:
        if view in ("wide", "impulses"):
            return Stretch(self.band, self._rate, self.start_s, tone)
        made = self._low if view == "low" else self._carrier
        assert made is not None
        first = self.start_s + made.output_time_s(made.warm_up)
        return Stretch(self.band, made.output_rate_hz, first, tone if view != "low" else None)

    def _flush(self) -> None:
        rest = self._buffer.rest()
        if len(rest) == 0:
            return
        padded = np.zeros((self.chunk_frames, 2), np.float32)
        padded[: len(rest)] = rest
        self._work(padded, len(rest))

    def _work(self, chunk: np.ndarray, valid: int) -> None:
        planar = self._planar
        planar[:] = chunk.T
        low = carrier = phase = impulses = found = None
        self._frames += valid
        if self._impulses is not None:
            found = self._impulses.feed(planar, valid)
            impulses = np.stack([np.append(found.first, self._frames), np.append(found.last, self._frames)], axis=1)
        if self._low is not None:
            low = self._low.feed(planar)[: valid // self._low.decimation]
            low, self._skip_low = _without_first(low, self._skip_low)
        if self._carrier is not None:
            carrier = self._carrier.feed(planar)[: valid // self._carrier.decimation]
            carrier, self._skip_carrier = _without_first(carrier, self._skip_carrier)
            if self._track is not None and found is not None:
                phase = self._track_phase(carrier, found)
            self._carrier_rows += len(carrier)
        blocks: dict[View, np.ndarray | None] = {
            "wide": chunk[:valid],
            "low": low,
            "carrier": carrier,
            "phase": phase,
            "impulses": impulses,
        }
        for method, state in self._states:
            block = blocks[method.view]
            if block is not None and len(block):
                state.feed(block)

    def _track_phase(self, carrier: np.ndarray, found: Impulses) -> np.ndarray:
        assert self._carrier is not None
        assert self._track is not None
        bad = np.zeros(len(carrier), bool)
        rate, step = self._rate, self._carrier.decimation
        first_row = self._carrier_rows + self._carrier.warm_up  # row of the filter that carrier[0] is
        margin = TICK_MARGIN_S * rate
        spans = [(-1.0, self._bad_until)] + [
            (first - margin, last + margin) for first, last in zip(found.first, found.last, strict=True)
        ]
        for first, last in spans:
            # Row m hears frames (m + 1 - rows)·step … (m + 1)·step - 1.
            begin = math.floor(first / step) - first_row
            end = math.floor(last / step) + self._carrier.rows - first_row
            if end > 0:
                bad[max(0, begin) : end] = True
        self._bad_until = max(self._bad_until, spans[-1][1])
        known = len(self._track.jumps)
        phase = self._track.feed(carrier, bad)
        origin = self.start_s + self._carrier.output_time_s(self._carrier.warm_up)
        for jump in self._track.jumps[known:]:
            self.phase_jumps_s.append(origin + jump.row / self._carrier.output_rate_hz)
        return phase


def _without_first(rows: np.ndarray, skip: int) -> tuple[np.ndarray, int]:
    dropped = min(skip, len(rows))
    return rows[dropped:], skip - dropped


def _combination(band: Band) -> tuple[tuple[float, float], float]:
    """Weights of left and right in proportion to their amplitude, and the phase of the right to turn back."""
    left = 10.0 ** (band.level_dbfs.left / 20.0)
    right = 10.0 ** (band.level_dbfs.right / 20.0)
    if band.right_phase_deg is None:
        return ((1.0, 0.0) if left >= right else (0.0, 1.0)), 0.0
    return (left, right), math.radians(band.right_phase_deg)
