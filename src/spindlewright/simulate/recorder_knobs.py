# ruff: noqa: RUF009  (knob() declares a dataclass field)
"""What can be set on the recorder and the mains around it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from spindlewright.simulate.knob import Checked, knob


@dataclass(frozen=True, slots=True)
class HumLine(Checked):
    """One mains line per channel at the recorder's input."""

    order: int = knob(None, "multiple of the mains frequency", low=1, high=100, required=True)
    left_dbfs: float | None = knob(None, "level in the left channel; none: absent", unit="dBFS", low=-160, high=10)
    right_dbfs: float | None = knob(None, "level in the right channel; none: absent", unit="dBFS", low=-160, high=10)
    left_phase_deg: float = knob(0.0, "phase of the cosine at the start of the recording", unit="°")
    right_phase_deg: float = knob(0.0, "the same, right", unit="°")


@dataclass(frozen=True, slots=True)
class Hum(Checked):
    """Mains lines picked up by leads, coils and earth loops."""

    mains_hz: float = knob(50.0, "true mains frequency", unit="Hz", low=10, high=100)
    lines: tuple[HumLine, ...] = knob((), "lines", key="line")


@dataclass(frozen=True, slots=True)
class AutomaticGain(Checked):
    """A recorder that levels by itself."""

    target_dbfs: float = knob(-12.0, "level it aims at", unit="dBFS", low=-60, high=0)
    highest_gain_db: float = knob(30.0, "gain it will not exceed", unit="dB", low=0, high=80)
    attack_s: float = knob(0.02, "time constant when it turns down", unit="s", low=0.001, high=10)
    release_s: float = knob(1.0, "time constant when it turns up", unit="s", low=0.01, high=60)


@dataclass(frozen=True, slots=True)
class DropOut(Checked):
    """A short loss of level."""

    at_s: float = knob(None, "when", unit="s", low=0, required=True)
    length_s: float = knob(0.02, "how long", unit="s", above=0, high=60)
    depth_db: float = knob(60.0, "how far the level falls", unit="dB", above=0, high=200)
    channel: Literal["both", "left", "right"] = knob("both", "where")


@dataclass(frozen=True, slots=True)
class Missing(Checked):
    """Samples lost between converter and file: what follows comes early."""

    at_s: float = knob(None, "when", unit="s", low=0, required=True)
    samples: int = knob(441, "how many", low=1, high=10_000_000)


@dataclass(frozen=True, slots=True)
class Recorder(Checked):
    """Converter and file."""

    rate_hz: int = knob(96_000, "nominal sample rate of the converter", unit="Hz", low=8_000, high=384_000)
    declared_rate_hz: int | None = knob(
        None, "rate written into the file when wrong", unit="Hz", low=4_000, high=768_000
    )
    clock_error_ppm: float = knob(
        0.0, "converter clock fast: tones come out low", unit="ppm", low=-10_000, high=10_000
    )
    bits: Literal[16, 24, 32, "float"] = knob(24, "word length of the file")
    gain_db: float = knob(0.0, "gain before the converter, on everything, hum included", unit="dB", low=-120, high=120)
    noise_dbfs: float | None = knob(-110.0, "white converter noise, rms", unit="dBFS", low=-160, high=0)
    offset_left: float = knob(0.0, "constant offset, full scale 1", low=-1, high=1)
    offset_right: float = knob(0.0, "the same, right", low=-1, high=1)
    clip_dbfs: float | None = knob(
        None, "level where the input stage clips; none: at full scale", unit="dBFS", low=-80, high=0
    )
    mono: bool = knob(False, "both channels carry the mean of the two")
    dead: Literal["none", "left", "right"] = knob("none", "channel that carries only converter noise")
    automatic_gain: AutomaticGain | None = knob(None, "automatic gain")
    gain_step_db: float = knob(0.0, "change of gain part way", unit="dB", low=-60, high=60)
    gain_step_at_s: float = knob(0.0, "when it changes", unit="s", low=0)
    drop_outs: tuple[DropOut, ...] = knob((), "drop-outs", key="drop_out")
    missing: tuple[Missing, ...] = knob((), "lost samples")
