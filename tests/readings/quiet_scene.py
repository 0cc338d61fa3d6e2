"""Quiet grooves made by hand: noise of known spectrum, mains lines, and the bands round them.

Nothing here uses the package's own simulation or its curves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from spindlewright.bands.band import Band, Levels
from spindlewright.readings.listener import Listener
from spindlewright.readings.method import Method, Observation, Outcome, Stretch
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.standards.jcgm_101_2008 import Contribution

LOW_RATE_HZ = 4000.0


def quiet_band(duration_s: float, kind: str = "silence", index: int = 3, start_s: float = 10.0) -> Band:
    return Band(index, start_s, start_s + duration_s, kind, Levels(-60.0, -60.0))


def mains(
    time_s: np.ndarray, frequency_hz: float, lines: Mapping[int, tuple[float, float]], shift_rad: float = 0.0
) -> np.ndarray:
    """Sum of cosines: order → (level in dBFS, phase in degrees)."""
    total = np.zeros(len(time_s))
    for order, (level, phase) in lines.items():
        total += 10.0 ** (level / 20.0) * np.cos(
            2.0 * np.pi * order * frequency_hz * time_s + np.radians(phase) + order * shift_rad
        )
    return total


def from_low_view(
    method: Method,
    sound: np.ndarray,
    side_facts: Mapping[str, object] | None = None,
    earlier: Mapping[str, Sequence[Reading]] | None = None,
    kind: str = "silence",
    rate_hz: float = LOW_RATE_HZ,
) -> Outcome:
    """What ``method`` says of one quiet band whose low view (or wide view) is ``sound`` (n, 2)."""
    band = quiet_band(len(sound) / rate_hz, kind)
    side = Side(sample_rate_hz=rate_hz, bands=(band,), **(side_facts or {}))
    state = method.start(Stretch(band, rate_hz, band.start_s), side)
    for first in range(0, len(sound), 5000):
        state.feed(sound[first : first + 5000])
    seen = state.observe()
    assert seen is not None
    return method.conclude([Observation(band, seen)], side, earlier or {})


def through_listener(
    method: Method, sound: np.ndarray, rate_hz: float, band: Band | None = None, block: int = 65_536
) -> Outcome:
    """The same from the sound as recorded, float32 (n, 2)."""
    band = band or quiet_band(len(sound) / rate_hz)
    side = Side(sample_rate_hz=rate_hz, bands=(band,))
    listener = Listener(band, side, [method], band.start_s)
    for first in range(0, len(sound), block):
        listener.feed(np.ascontiguousarray(sound[first : first + block], np.float32))
    return method.conclude([seen for _, seen in listener.finish()], side, {})


def reference(left_dbfs: float, right_dbfs: float, to_10_cm_s_db: float | None, u_db: float = 0.0) -> dict:
    """``level_reference`` readings as the channel builder concludes them."""
    return {
        "level_reference": [
            Reading(
                "level_reference",
                value,
                "dBFS",
                1.96 * u_db,
                (Contribution("noise", u_db),),
                "made by hand",
                "test",
                channel=channel,
                band=0,
                conditions={"to_10_cm_s_at_1_khz_db": to_10_cm_s_db},
            )
            for channel, value in (("left", left_dbfs), ("right", right_dbfs))
        ]
    }
