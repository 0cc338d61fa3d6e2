"""Which bands are read together, and what the channel readings share when they conclude.

Left-only and right-only bands with one tone make a pair; the pair or band nearest 1 kHz is the main one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from spindlewright.bands.band import Band, LayoutBand
from spindlewright.readings.channel_pair import DB_PER_NEPER, TonePair
from spindlewright.readings.method import Observation
from spindlewright.readings.side import Side
from spindlewright.standards.iec_60098_2020 import riaa_replay_db
from spindlewright.standards.jcgm_101_2008 import Contribution

SPEED_AT_BEGIN = "speed, by where in a turn the band begins"
SPEED_AT_END = "speed, by where in a turn the band ends"
SPEED_BETWEEN = "speed between the bands"
Direction = Literal["lateral", "vertical", "wall"]
SAME_NOMINAL = 0.03
"""Bands whose nominal frequencies differ by less than this share hold the same tone."""
MAIN_HZ = 1000.0
EXCHANGED_DB = 10.0
EXCHANGED = "exchanged: the disc's left comes out on the right"
AS_CUT = "the disc's own share, as cut, is not known and not taken off"


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


def velocity_read_in(cut: LayoutBand, read_in: Direction) -> float | None:
    """Velocity in cm/s that the layout states (peak or rms, as it says), brought to the direction it is read in.

    A lateral or vertical velocity V gives each wall V/√2, and walls at w together √2·w (45/45 system, published
    values 20; derived). A band of one wall stated as lateral is cut like one channel of that lateral cut. None where
    no velocity is stated.
    """
    if not cut.velocity_cm_s:
        return None
    stated = cut.direction or read_in
    if (stated == "wall") == (read_in == "wall"):
        return cut.velocity_cm_s
    return cut.velocity_cm_s * (math.sqrt(0.5) if read_in == "wall" else math.sqrt(2.0))


def peak_velocity_cm_s(band: Band) -> float | None:
    """Peak velocity along one wall that the layout states for a left-only or right-only band."""
    stated = None if band.cut is None else velocity_read_in(band.cut, "wall")
    if band.cut is None or stated is None:
        return None
    return stated * (math.sqrt(2.0) if band.cut.velocity == "rms" else 1.0)


def speed_lines(band: Band, seen: TonePair, side: Side) -> tuple[Contribution, ...]:
    """Budget lines in dB of a level: which mean speed it belongs to, as wow makes that depend on the stretch read.

    The mean of a sine of amplitude A over N turns is known to A/(2 pi N) from its beginning and the same from its end.
    """
    u_db = _level_swing_db(band, seen, side) / max(2.0 * math.pi * seen.turns, 1.0) / math.sqrt(2.0)
    return Contribution(SPEED_AT_BEGIN, u_db, "arcsine"), Contribution(SPEED_AT_END, u_db, "arcsine")


def speed_line_between(band: Band, seen: TonePair, side: Side) -> Contribution:
    """Budget line in dB of a level that is compared with one of another stretch of the same tone.

    Each is read at the mean speed over a turn; from that the speed by least squares over N turns, at which the tone
    passes on the whole, differs by up to 3·A/(pi N)² (derived; no more than A).
    """
    half_width = _level_swing_db(band, seen, side) * min(3.0 / (math.pi * seen.turns) ** 2, 1.0)
    return Contribution(SPEED_BETWEEN, half_width / math.sqrt(2.0), "arcsine")


def _level_swing_db(band: Band, seen: TonePair, side: Side) -> float:
    """Amplitude in dB of what the once-per-turn swing of the speed does to a level.

    A groove gives more the faster it passes (6 dB per octave), and the tone moves along the replay curve.
    """
    frequency = band.frequency_hz or band.nominal_hz or MAIN_HZ
    step = 1e-3
    db_per_ratio = DB_PER_NEPER
    if side.chain == "riaa":
        curve = riaa_replay_db(np.array([frequency * (1.0 - step), frequency * (1.0 + step)]))
        db_per_ratio += float(curve[1] - curve[0]) / (2.0 * step)
    return abs(db_per_ratio) * seen.swing_hz / frequency


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
