"""What one tone band tells of two channels: levels, balance and the complex leak each way, with uncertainties.

Shared by channel balance, crosstalk, azimuth and reference level, which only conclude differently.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from spindlewright.bands.band import Band
from spindlewright.readings.method import Observation
from spindlewright.readings.side import Side
from spindlewright.signal.correlated_mean import inliers, steady_part
from spindlewright.signal.tone_pair import TonePairTrack
from spindlewright.standards.iec_60098_2020 import riaa_replay_db
from spindlewright.standards.jcgm_101_2008 import Contribution

DB_PER_NEPER = 20.0 / math.log(10.0)
LEAST_SEGMENTS = 5
STEADY = 0.8
"""Coherence from cell to cell below which what is there is not taken for a tone (about 6 dB over the noise)."""
LEAST_FOR_TURN = 40
"""Segments from which on what turns with the disc is fitted and taken out of the scatter."""
LEAST_TURNS = 2.0
SPEED_AT_BEGIN = "speed, by where in a turn the band begins"
SPEED_AT_END = "speed, by where in a turn the band ends"
SMALLEST_STEP = 2.0**-24
"""Smallest step of a 24-bit recording, full scale 1: a channel of pure zeros is only known to lie below it."""
SAME_NOMINAL = 0.03
"""Bands whose nominal frequencies differ by less than this share hold the same tone."""
MAIN_HZ = 1000.0
EXCHANGED_DB = 10.0
EXCHANGED = "exchanged: the disc's left comes out on the right"
AS_CUT = "the disc's own share, as cut, is not known and not taken off"


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
    ``speed_remainder_hz`` is by how much the mean frequency depends on where in a turn the band begins, and again on
    where it ends: A/(2 pi N) for a swing A over N turns.
    """

    seconds: float
    left: Level | None
    right: Level | None
    right_over_left: Leak | None
    left_over_right: Leak | None
    balance: tuple[float, float] | None
    speed_remainder_hz: float = 0.0

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


def by_disc_channel(observations: Sequence[Observation]) -> tuple[dict[int, TonePair], bool]:
    """What was seen by band index, told by the disc's channels; and whether the recording has them exchanged.

    They are exchanged when left-only and right-only bands all come out of the other channel, 10 dB stronger or more:
    one such band alone may be a dead channel. Then all is told the other way round.
    """
    seen = {o.band.index: o.data for o in observations if isinstance(o.data, TonePair)}
    single = [o.band for o in observations if o.band.index in seen and o.band.kind in ("left", "right")]
    exchanged = {b.kind for b in single} == {"left", "right"} and all(
        _comes_out_of_the_other(b.kind, seen[b.index]) for b in single
    )
    return ({i: pair.exchanged() for i, pair in seen.items()} if exchanged else seen), exchanged


def _comes_out_of_the_other(kind: str, seen: TonePair) -> bool:
    own, other = seen.level(kind), seen.level("right" if kind == "left" else "left")
    return other is not None and (own is None or own.dbfs < other.dbfs - EXCHANGED_DB)


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
        remainder_hz = swing_hz / max(2.0 * math.pi * seconds * self._platter_rate_hz, 1.0)
        found = TonePair(seconds, first, second, direct, back, balance, remainder_hz)
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


@dataclass(frozen=True, slots=True)
class Pair:
    """A left-only and a right-only band with the same tone, and what was seen in them."""

    left_band: Band
    right_band: Band
    left: TonePair
    right: TonePair
    main: bool
    exchanged: bool

    @property
    def bands(self) -> list[int]:
        """Indexes for ``conditions.bands``."""
        return [self.left_band.index, self.right_band.index]


def tone_hz(band: Band) -> float | None:
    """What the tone was cut as, else what was found."""
    return band.nominal_hz or band.frequency_hz


def distance_from_main(band: Band) -> float:
    """Distance of a tone from 1 kHz on a logarithmic scale; infinite without a frequency."""
    frequency = tone_hz(band)
    return abs(math.log(frequency / MAIN_HZ)) if frequency else math.inf


def nearest_to_main(bands: Iterable[Band]) -> Band | None:
    """The band nearest 1 kHz; of equals the longest, then the first."""
    return min(bands, key=lambda b: (round(distance_from_main(b), 3), -b.duration_s, b.index), default=None)


def same_tone(a: Band, b: Band) -> bool:
    """True when both bands hold the same tone by their nominal frequency."""
    first, second = tone_hz(a), tone_hz(b)
    return bool(first and second and abs(first / second - 1.0) <= SAME_NOMINAL)


def can_pair(bands: Sequence[Band]) -> bool:
    """True when some left-only and some right-only band hold the same tone."""
    rights = [b for b in bands if b.kind == "right"]
    return any(same_tone(left, right) for left in bands if left.kind == "left" for right in rights)


def pairs(observations: Sequence[Observation]) -> list[Pair]:
    """Every left-only band with the right-only band of the same tone that fits it best, each used once.

    Of several with one tone those whose own levels are nearest go together, then those nearest in time.
    """
    seen, exchanged = by_disc_channel(observations)
    bands = [o.band for o in observations if o.band.index in seen]
    candidates = []
    for left in bands:
        for right in bands:
            if left.kind != "left" or right.kind != "right" or not same_tone(left, right):
                continue
            own_left, own_right = seen[left.index].left, seen[right.index].right
            if own_left is None or own_right is None:
                continue
            level = round(abs(own_left.dbfs - own_right.dbfs) / 3.0)
            candidates.append((level, abs(left.index - right.index), left.index, left, right))
    chosen: list[tuple[Band, Band]] = []
    taken: set[int] = set()
    for _, _, _, left, right in sorted(candidates, key=lambda c: c[:3]):
        if left.index not in taken and right.index not in taken:
            taken |= {left.index, right.index}
            chosen.append((left, right))
    main = nearest_to_main(left for left, _ in chosen)
    chosen.sort(key=lambda c: c[0].index)
    return [Pair(a, b, seen[a.index], seen[b.index], a is main, exchanged) for a, b in chosen]


def peak_velocity_cm_s(band: Band) -> float | None:
    """Peak velocity along one wall that the layout states for a left-only or right-only band."""
    cut = band.cut
    if cut is None or not cut.velocity_cm_s:
        return None
    peak = cut.velocity_cm_s * (math.sqrt(2.0) if cut.velocity == "rms" else 1.0)
    return peak * math.sqrt(2.0) if cut.direction in ("lateral", "vertical") else peak


def speed_lines(band: Band, seen: TonePair, side: Side) -> tuple[Contribution, Contribution]:
    """Budget lines in dB of a level: which mean speed it belongs to, as wow makes that depend on the stretch read.

    A groove gives more the faster it passes (6 dB per octave), and the tone moves along the replay curve.
    """
    frequency = band.frequency_hz or band.nominal_hz or MAIN_HZ
    step = 1e-3
    db_per_ratio = DB_PER_NEPER
    if side.chain == "riaa":
        curve = riaa_replay_db(np.array([frequency * (1.0 - step), frequency * (1.0 + step)]))
        db_per_ratio += float(curve[1] - curve[0]) / (2.0 * step)
    u_db = abs(db_per_ratio) * seen.speed_remainder_hz / frequency / math.sqrt(2.0)
    return Contribution(SPEED_AT_BEGIN, u_db, "arcsine"), Contribution(SPEED_AT_END, u_db, "arcsine")


def balance_of(pair: Pair) -> tuple[float, float | None]:
    """Own-channel gain left over right in dB for equal modulation, and the correction in it that made the
    modulation equal (None: the layout does not state both velocities)."""
    left, right = pair.left.left, pair.right.right
    assert left is not None
    assert right is not None
    cut_left, cut_right = peak_velocity_cm_s(pair.left_band), peak_velocity_cm_s(pair.right_band)
    if cut_left is None or cut_right is None:
        return left.dbfs - right.dbfs, None
    correction = -DB_PER_NEPER * math.log(cut_left / cut_right) if cut_left != cut_right else 0.0
    return left.dbfs - right.dbfs + correction, correction


def kept(side: Side, lines: Iterable[Contribution]) -> tuple[Contribution, ...]:
    """The budget without the lines that are zero or that the side asks to leave out."""
    return tuple(
        line for line in lines if line.standard_uncertainty > 0.0 and line.name not in side.without_contributions
    )
