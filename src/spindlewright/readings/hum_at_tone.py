"""A mains line that falls on a test tone: it can't be told from the tone and goes into the uncertainty.

300 Hz is the 6th of 50 Hz and the 5th of 60 Hz, 1000 Hz the 20th of 50 Hz. A line that beats with the tone at least
once in the band averages out and shows in the scatter; one that does not beat shifts a level or a leak by up to its
own size, in a phase nobody knows. Its size comes from the side's hum readings, made in quiet bands.

Source: derived here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from spindlewright.bands.band import Band
from spindlewright.readings.channel_pair import DB_PER_NEPER
from spindlewright.readings.reading import Reading
from spindlewright.standards.iec_60098_2020 import riaa_replay_db
from spindlewright.standards.jcgm_101_2008 import Contribution

NAME = "hum line at the tone"
TONE_KNOWN_TO = 1e-4
"""Relative uncertainty of the frequency that the band was found with."""


def hum_amplitude(earlier: Mapping[str, Sequence[Reading]], band: Band, channel: str) -> float:
    """Peak amplitude (full scale 1) of the mains line that can't be told from the band's tone; 0 without one."""
    frequency = band.frequency_hz
    if not frequency or band.duration_s <= 0.0:
        return 0.0
    near = 1.0 / band.duration_s + TONE_KNOWN_TO * frequency
    largest = 0.0
    for reading in earlier.get("hum", ()):
        if reading.channel != channel:
            continue
        for line in reading.conditions.get("lines", ()):
            if abs(line["frequency_hz"] - frequency) < near:
                level_db = float(line["level_dbfs"])
                if reading.conditions.get("equalised_here"):
                    level_db -= float(riaa_replay_db(frequency))
                largest = max(largest, 10.0 ** (level_db / 20.0))
    return largest


def of_unknown_phase(amplitude: float) -> Contribution:
    """Budget line of a shift by ``amplitude`` times the cosine of an angle nobody knows (unit of ``amplitude``)."""
    return Contribution(NAME, amplitude / math.sqrt(2.0), "arcsine")


def in_decibels(hum: float, tone: float) -> Contribution:
    """The same for a level: ``hum`` and ``tone`` are amplitudes."""
    return of_unknown_phase(DB_PER_NEPER * hum / tone)
