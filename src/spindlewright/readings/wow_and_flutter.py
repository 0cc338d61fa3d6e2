"""Wow and flutter of one pass of a disc: weighted and unweighted, by the two-sigma rule, rms and quasi-peak.

The deviation is the rate of the tone's phase over its mean frequency. It is filtered from a steady state at the
mean of the first turn; the first seconds do not count. A reading is the size exceeded 5 % of the time (two-sigma
rule), the rms, or the mean indication of a quasi-peak meter. Groove noise and hum also move the phase: how much is
told from the amplitude, where the same noise stands in quadrature, and is taken off in power.

Sources: ``standards/iec_60386_1972.py`` (weighting, 5 % and meter from memory: working model); unweighted band and
split: common practice; noise removal: derived, proved by simulation.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.capture.fitness_item import FitnessItem
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Curve, Reading
from spindlewright.readings.side import Side
from spindlewright.signal.flutter_detectors import (
    LEAST_COUNTED_S,
    UNWEIGHTED_SETTLES_S,
    WEIGHTED_SETTLES_S,
    FlutterDetectors,
    FlutterSeen,
)
from spindlewright.signal.noisy_size import NoisySize
from spindlewright.standards import iec_60386_1972 as flutter_standard
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width

LEAST_CARRIER_HZ = 900.0
"""Below this the tone has no room for sidebands up to 200 Hz either side."""
SPLIT_HZ = float(flutter_standard.WOW_FLUTTER_SPLIT_HZ.value or 6.0)
LEAST_RATE_HZ = 8000.0

_WORKING_MODEL = flutter_standard.WORKING_MODEL
_UNWEIGHTED = "unweighted band 0.2 to 200 Hz, second-order Butterworth each side: common practice, no source"
_SPLIT = f"{_UNWEIGHTED}; split at {SPLIT_HZ:g} Hz by a fourth-order Butterworth pair: a setting"
_TWO_SIGMA = "two-sigma rule (size exceeded 5 % of the time, from memory)"
_FILTER = {
    "weighted": 0.0002,
    "weighted_rms": 0.0002,
    "quasi_peak": 0.0002,
    "unweighted": 0.0001,
    "wow": 0.0001,
    "flutter": 0.0002,
}
"""Relative standard uncertainty from realising the filter: root mean square of its departure from the definition for
lines from 0.3 to 60 Hz in octaves, at rates of the phase from 1750 to 2297 Hz (measured, tests/signal)."""
_ENDS_S = {
    "weighted": 0.034,
    "weighted_rms": 0.034,
    "unweighted": 0.027,
    "wow": 0.027,
    "flutter": 0.027,
}
"""Relative standard uncertainty, times the time counted in s: the ends of a band are good to 0.1 s (by simulation)."""
_END_S = 0.1
"""Half-width of where each end of the time counted lies (contract: times to 0.1 s)."""
_BRIDGED = {
    "weighted": 0.02,
    "weighted_rms": 0.02,
    "quasi_peak": 0.03,
    "unweighted": 0.08,
    "wow": 0.01,
    "flutter": 0.15,
}
"""Relative standard uncertainty per share of the time that was bridged: what 120 ticks a minute do to a tone without
any other noise, root mean square over 18 simulated decks. A bridge of a few ms takes away only fast flutter."""
_SEEN_FROM = 2.0
_BOUND = 2.5
"""Standard uncertainties of the power: from where a size counts as seen; up to where it may lie when it is not."""

_QUANTITIES: tuple[tuple[str, str, str, str, str], ...] = (
    # quantity, attribute of FlutterSeen, definition, source, method
    (
        "wow_flutter_weighted",
        "weighted",
        "size of the weighted speed deviation that is exceeded 5 % of the time; one sine of peak A at 4 Hz reads "
        "0.997 A",
        f"{_WORKING_MODEL}; {_TWO_SIGMA}",
        "two-sigma size of the weighted deviation",
    ),
    (
        "wow_flutter_weighted_quasi_peak",
        "quasi_peak",
        "mean indication of a quasi-peak meter on the weighted deviation, scaled to read the peak of a 4 Hz sine; "
        "maximum in conditions",
        f"{_WORKING_MODEL}; meter constants derived from a pulse test recalled from memory",
        "mean quasi-peak indication of the weighted deviation",
    ),
    (
        "wow_flutter_weighted_rms",
        "weighted_rms",
        "root mean square of the weighted speed deviation",
        _WORKING_MODEL,
        "root mean square of the weighted deviation",
    ),
    (
        "wow_flutter_unweighted",
        "unweighted",
        "size of the speed deviation between 0.2 and 200 Hz that is exceeded 5 % of the time",
        f"{_UNWEIGHTED}; {_TWO_SIGMA}",
        "two-sigma size of the deviation from 0.2 to 200 Hz",
    ),
    (
        "wow",
        "wow",
        f"size of the part of that deviation below {SPLIT_HZ:g} Hz that is exceeded 5 % of the time",
        f"{_SPLIT}; {_TWO_SIGMA}",
        f"two-sigma size of the deviation from 0.2 to {SPLIT_HZ:g} Hz",
    ),
    (
        "flutter",
        "flutter",
        f"size of the part of that deviation above {SPLIT_HZ:g} Hz that is exceeded 5 % of the time",
        f"{_SPLIT}; {_TWO_SIGMA}",
        f"two-sigma size of the deviation from {SPLIT_HZ:g} to 200 Hz",
    ),
)


class FlutterState:
    """Detectors of one band."""

    def __init__(self, stretch: Stretch, side: Side) -> None:
        self._carrier_hz = stretch.carrier_hz or 0.0
        self._detectors = FlutterDetectors(stretch.rate_hz, 60.0 / side.rpm, SPLIT_HZ)

    def feed(self, block: np.ndarray) -> None:
        self._detectors.feed(block)

    def observe(self) -> FlutterSeen | None:
        return self._detectors.result(self._carrier_hz)


class WowAndFlutter:
    """All flutter figures of every tone band that is long enough."""

    name = "wow and flutter"
    version = 1
    view: View = "phase"
    quantities = tuple(Quantity(name, "%", words, source) for name, _, words, source, _ in _QUANTITIES)

    def wants(self, band: Band, side: Side) -> bool:
        return (
            _has_room(band)
            and side.sample_rate_hz >= LEAST_RATE_HZ
            and band.duration_s >= WEIGHTED_SETTLES_S + LEAST_COUNTED_S
        )

    def start(self, stretch: Stretch, side: Side) -> FlutterState:
        return FlutterState(stretch, side)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        readings: list[Reading] = []
        curves: list[Curve] = []
        for observation in observations:
            seen: FlutterSeen = observation.data
            readings.extend(_readings(observation.band, seen, side))
            curves.append(
                Curve(
                    "deviation_spectrum", seen.line_hz, "Hz", 100.0 * seen.line_peak, "%", band=observation.band.index
                )
            )
        return Outcome(readings=tuple(readings), fitness=_too_short(observations, side), curves=tuple(curves))


def _has_room(band: Band) -> bool:
    return band.kind in TONE_KINDS and band.frequency_hz is not None and band.frequency_hz >= LEAST_CARRIER_HZ


def _readings(band: Band, seen: FlutterSeen, side: Side) -> list[Reading]:
    readings = []
    for quantity, attribute, _, source, method in _QUANTITIES:
        size: NoisySize | None = getattr(seen, attribute)
        if size is None:
            continue
        weighted = quantity.startswith("wow_flutter_weighted")
        settling_s = WEIGHTED_SETTLES_S if weighted else UNWEIGHTED_SETTLES_S
        conditions: dict[str, Any] = {
            "main": band.index == side.main_band,
            "settling_s": settling_s,
            "measured_s": round(seen.duration_s - settling_s, 3),
            "noise_percent": 100.0 * size.noise,
            "bridged_percent": round(100.0 * seen.bridged_share, 4),
        }
        if quantity in ("wow", "flutter"):
            conditions["split_hz"] = SPLIT_HZ
        if attribute == "quasi_peak":
            conditions["maximum_percent"] = 100.0 * seen.quasi_peak_maximum
        ends = _ends(attribute, seen) / (seen.duration_s - settling_s)
        bridging = _BRIDGED[attribute] * seen.bridged_share
        value, budget, below = _value(size, {"filter": _FILTER[attribute], "ends": ends, "bridging": bridging}, side)
        conditions["below_noise"] = below
        uncertainty = value if below else coverage_half_width(budget)
        readings.append(
            Reading(quantity, value, "%", uncertainty, budget, method, source, band=band.index, conditions=conditions)
        )
    return readings


def _ends(attribute: str, seen: FlutterSeen) -> float:
    """Relative standard uncertainty of a reading from the ends of its band, times the time counted in s.

    A mean indication moves by what the indication at an end strays from the mean, times the shift of that end over
    the time counted; two ends, each anywhere within 0.1 s (derived).
    """
    if attribute == "quasi_peak":
        return math.sqrt(2.0 / 3.0) * _END_S * seen.quasi_peak_spread
    return _ENDS_S[attribute]


def _value(size: NoisySize, relative: Mapping[str, float], side: Side) -> tuple[float, tuple[Contribution, ...], bool]:
    """Value in %, budget and whether the value is only an upper bound; ``relative`` standard uncertainties by name."""
    below = size.power <= _SEEN_FROM * size.power_scatter
    if below:
        bound = 100.0 * math.sqrt(max(size.power, 0.0) + _BOUND * size.power_scatter)
        return bound, (Contribution("noise", bound / 2.0),), True
    value = math.sqrt(size.power)
    degrees = size.degrees if size.degrees < 200.0 else None
    spread = 1.96 * size.power_scatter
    scatter = (math.sqrt(size.power + spread) - math.sqrt(max(size.power - spread, 0.0))) / (2.0 * 1.96)
    budget = (
        Contribution("noise", 100.0 * scatter, degrees_of_freedom=degrees),
        Contribution("noise removal", 100.0 * value * size.shape_doubt),
        *(Contribution(name, 100.0 * value * share) for name, share in relative.items()),
    )
    return 100.0 * value, tuple(c for c in budget if c.name not in side.without_contributions), False


def _too_short(observations: Sequence[Observation], side: Side) -> tuple[FitnessItem, ...]:
    """What keeps flutter from being read in the main band, if anything."""
    main = next((band for band in side.bands if band.index == side.main_band), None)
    if main is None or any(o.band.index == main.index for o in observations) or not _has_room(main):
        return ()
    needed_s = WEIGHTED_SETTLES_S + LEAST_COUNTED_S
    if all(band.duration_s < needed_s for band in side.bands if band.kind in TONE_KINDS):
        return ()  # said already of the whole side
    return (
        FitnessItem(
            code="too_short",
            severity="warn",
            message=f"The tone band from {main.start_s:.1f} s lasts {main.duration_s:.1f} s; wow and flutter need "
            f"{needed_s:g} s ({needed_s + UNWEIGHTED_SETTLES_S - WEIGHTED_SETTLES_S:g} s without weighting). "
            "Record a longer stretch of the tone.",
            evidence={"duration_s": round(main.duration_s, 3), "needed_s": needed_s},
            bands=(main.index,),
        ),
    )
