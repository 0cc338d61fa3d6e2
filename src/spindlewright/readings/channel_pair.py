"""What one tone band tells of two channels: levels, balance and the complex leak each way, with uncertainties.

Shared by channel balance, crosstalk, azimuth and reference level, which only conclude differently.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from spindlewright.signal.correlated_mean import inliers, steady_part
from spindlewright.signal.tone_pair import TonePairTrack

DB_PER_NEPER = 20.0 / math.log(10.0)
LEAST_SEGMENTS = 5
STEADY = 0.8
"""Coherence from cell to cell below which what is there is not taken for a tone (about 6 dB over the noise)."""
LEAST_FOR_TURN = 40
"""Segments from which on what turns with the disc is fitted and taken out of the scatter."""
LEAST_TURNS = 2.0


@dataclass(frozen=True, slots=True)
class Leak:
    """Complex ratio of one output to the other at the tone; ``covariance`` ((rr, ri), (ri, ii)) of its parts."""

    value: complex
    covariance: tuple[tuple[float, float], tuple[float, float]]

    def turned(self, by: complex) -> Leak:
        """The leak times ``by`` (any size and phase), uncertainty and all."""
        turn = np.array([[by.real, -by.imag], [by.imag, by.real]])
        c = turn @ np.array(self.covariance) @ turn.T
        return Leak(self.value * by, ((float(c[0, 0]), float(c[0, 1])), (float(c[1, 0]), float(c[1, 1]))))

    @property
    def u_real(self) -> float:
        """Standard uncertainty of the in-phase part."""
        return math.sqrt(max(self.covariance[0][0], 0.0))

    @property
    def u_imag(self) -> float:
        """Standard uncertainty of the part in quadrature."""
        return math.sqrt(max(self.covariance[1][1], 0.0))

    @property
    def noise_power(self) -> float:
        """Variance of both parts together: what noise adds to the squared size on average."""
        return self.covariance[0][0] + self.covariance[1][1]


@dataclass(frozen=True, slots=True)
class Level:
    """Level in dBFS (0: rms of a full-scale sine) with its standard uncertainty in dB."""

    dbfs: float
    standard_uncertainty_db: float

    @property
    def amplitude(self) -> float:
        """Peak amplitude, full scale 1."""
        return float(10.0 ** (self.dbfs / 20.0))


@dataclass(frozen=True, slots=True)
class TonePair:
    """One band's tone in both channels over ``seconds`` of it.

    ``left``/``right`` are None where that channel does not carry the tone well enough for a level;
    ``right_over_left`` is None where the left channel can't serve as reference, and the other way round.
    ``balance`` is left minus right in dB of the same band (value, standard uncertainty), both channels present.
    ``swing_hz`` is the amplitude of the once-per-turn swing of the frequency over the ``turns`` read.
    """

    seconds: float
    left: Level | None
    right: Level | None
    right_over_left: Leak | None
    left_over_right: Leak | None
    balance: tuple[float, float] | None
    swing_hz: float = 0.0
    turns: float = 1.0

    def level(self, channel: str) -> Level | None:
        """Level of ``left`` or ``right``."""
        return self.left if channel == "left" else self.right

    def exchanged(self) -> TonePair:
        """The same with left and right told the other way round."""
        turned = None if self.balance is None else (-self.balance[0], self.balance[1])
        return replace(
            self,
            left=self.right,
            right=self.left,
            right_over_left=self.left_over_right,
            left_over_right=self.right_over_left,
            balance=turned,
        )


class ChannelPairState:
    """Streaming state over the ``carrier`` view of one tone band; asked any time for a ``TonePair``."""

    def __init__(self, rate_hz: float, platter_rate_hz: float) -> None:
        self._track = TonePairTrack(rate_hz)
        self._platter_rate_hz = platter_rate_hz

    def feed(self, block: np.ndarray) -> None:
        """Take complex128 (n, 2)."""
        self._track.feed(block)

    def observe(self) -> TonePair | None:
        """What the band has shown so far, None before half a second of tone."""
        seen = self._track.segments()
        if len(seen.left) < LEAST_SEGMENTS or np.median(seen.coherence) < STEADY:
            return None
        left_leads = bool(np.median(seen.left) >= np.median(seen.right))
        strong, weak = (seen.left, seen.right) if left_leads else (seen.right, seen.left)
        ratio = seen.right_over_left if left_leads else seen.left_over_right
        usable = strong > 0.0
        strong, weak, ratio = strong[usable], weak[usable], ratio[usable]
        strength = 0.5 * DB_PER_NEPER * np.log(strong)
        keep = inliers(np.column_stack([ratio.real, ratio.imag, strength]))
        if keep.sum() < LEAST_SEGMENTS:
            return None
        both = keep & (weak > 0.0)
        present = both.sum() >= max(LEAST_SEGMENTS, 0.9 * keep.sum()) and bool(
            np.median(np.abs(ratio[keep]) ** 2) > 0.01
        )  # within 20 dB of the stronger channel
        passing = self._passing(seen.middle_s[usable], seen.offset_hz[usable])
        first = _level(strength[keep], passing[keep])
        direct = _leak(ratio[keep], passing[keep])
        second = back = balance = None
        if present:
            weakness = 0.5 * DB_PER_NEPER * np.log(weak[both])
            second = _level(weakness, passing[both])
            back = _leak(1.0 / ratio[both], passing[both])
            apart = _level(strength[both] - weakness, passing[both])
            balance = (apart.dbfs, apart.standard_uncertainty_db)
        seconds = float(keep.sum()) * self._track.segment_s
        swing_hz = self._swing_hz(seen.middle_s, seen.offset_hz)
        turns = seconds * self._platter_rate_hz
        found = TonePair(seconds, first, second, direct, back, balance, swing_hz, turns)
        return found if left_leads else found.exchanged()

    def _turning(self, middle_s: np.ndarray) -> np.ndarray:
        """Columns of the disc's turn; none in bands too short to tell them from the mean."""
        turns = (middle_s[-1] - middle_s[0]) * self._platter_rate_hz
        if len(middle_s) < LEAST_FOR_TURN or turns < LEAST_TURNS:
            return np.zeros((len(middle_s), 0))
        angle = 2.0 * np.pi * self._platter_rate_hz * middle_s
        return np.column_stack([np.cos(angle), np.sin(angle)])

    def _passing(self, middle_s: np.ndarray, offset_hz: np.ndarray) -> np.ndarray:
        """Columns of what comes and goes: the disc's turn, and what the speed does besides, which shifts a tone along
        the replay curve."""
        turning = self._turning(middle_s)
        if turning.shape[1] == 0:
            return turning
        table = np.column_stack([np.ones(len(middle_s)), turning])
        speed = offset_hz - table @ np.linalg.lstsq(table, offset_hz)[0]
        return np.column_stack([turning, speed / (float(np.abs(speed).max()) or 1.0)])

    def _swing_hz(self, middle_s: np.ndarray, offset_hz: np.ndarray) -> float:
        """Amplitude of the once-per-turn swing of the frequency; in short bands that of all its variation."""
        turning = self._turning(middle_s)
        if turning.shape[1] == 0:
            return math.sqrt(2.0) * float(offset_hz.std())
        table = np.column_stack([np.ones(len(middle_s)), turning])
        _, cosine, sine = np.linalg.lstsq(table, offset_hz)[0]
        return math.hypot(cosine, sine)


def _level(decibels: np.ndarray, passing: np.ndarray) -> Level:
    mean, covariance = steady_part(decibels[:, None], passing)
    return Level(float(mean[0]), math.sqrt(float(covariance[0, 0])))


def _leak(ratio: np.ndarray, passing: np.ndarray) -> Leak:
    mean, c = steady_part(np.column_stack([ratio.real, ratio.imag]), passing)
    covariance = ((float(c[0, 0]), float(c[0, 1])), (float(c[1, 0]), float(c[1, 1])))
    return Leak(complex(mean[0], mean[1]), covariance)
