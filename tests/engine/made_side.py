"""A side made of plain numpy sums, with nothing of the package in it, for tests of the whole path.

Lead-in, a 3150 Hz tone with known flutter, 1 kHz left-only and right-only with known leaks, a silent band with
hum; white noise and hum throughout. All of it can be written down in closed form.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

SPEED_PERCENT = -0.4
TURN_HZ = 100.0 / 180.0 * (1.0 + SPEED_PERCENT / 100.0)
LINES = ((TURN_HZ, 0.08, 0.3), (4.0, 0.05, 1.1), (9.3, 0.03, 2.0), (31.0, 0.02, 0.7))
"""Flutter: Hz, peak %, phase of the cosine in rad at the start of the tone."""
TONE_PEAK = 0.1
LEFT_PEAK, RIGHT_PEAK = 0.11, 0.1
LEAK_LEFT_TO_RIGHT = 0.03 * np.exp(1j * np.radians(170.0))
LEAK_RIGHT_TO_LEFT = 0.05 * np.exp(1j * np.radians(20.0))
MAINS_HZ = 50.03
HUM = {1: (3e-4, 1e-4), 2: (5e-5, 5e-5), 3: (1.2e-4, 2e-5)}
"""Peak by order for left and right."""


@dataclass(frozen=True)
class Plan:
    """Lengths in s; ``noise`` is the rms of white noise in each channel, full scale 1."""

    lead_s: float = 1.0
    tone_s: float = 18.0
    single_s: float = 8.0
    silence_s: float = 14.0
    gap_s: float = 1.5
    noise: float = 3e-5

    def start_s(self, kind: str) -> float:
        """When ``tone``, ``left``, ``right`` or ``silence`` starts."""
        left = self.lead_s + self.tone_s + self.gap_s
        right = left + self.single_s + self.gap_s
        return {"tone": self.lead_s, "left": left, "right": right, "silence": right + self.single_s}[kind]

    @property
    def end_s(self) -> float:
        return self.start_s("silence") + self.silence_s

    def later_by(self, seconds: float) -> Plan:
        return replace(self, lead_s=self.lead_s + seconds)


SHORT = Plan(tone_s=12.0, single_s=5.0, silence_s=9.0)
SHORTEST = Plan(lead_s=0.5, tone_s=9.0, single_s=3.0, silence_s=6.0, gap_s=1.0)


def deviation_percent(t: np.ndarray) -> np.ndarray:
    """Speed deviation in % at times after the start of the tone."""
    return SPEED_PERCENT + sum(peak * np.cos(2 * np.pi * f * t + phase) for f, peak, phase in LINES)


def groove_time(t: np.ndarray) -> np.ndarray:
    """Integral of the speed over the rated one."""
    wobble = sum(
        peak / (2 * np.pi * f) * (np.sin(2 * np.pi * f * t + phase) - np.sin(phase)) for f, peak, phase in LINES
    )
    return t * (1.0 + SPEED_PERCENT / 100.0) + wobble / 100.0


def made_side(rate_hz: int, plan: Plan = SHORT, seed: int = 11) -> np.ndarray:
    """float64 (n, 2), full scale 1."""
    count = round(plan.end_s * rate_hz)
    t = np.arange(count) / rate_hz - plan.start_s("tone")
    sound = plan.noise * np.random.default_rng(seed).standard_normal((count, 2))
    for order, peaks in HUM.items():
        sound += np.array(peaks) * np.cos(2 * np.pi * order * MAINS_HZ * t + 0.4 * order)[:, None]
    lengths = {"tone": plan.tone_s, "left": plan.single_s, "right": plan.single_s}
    for kind, seconds in lengths.items():
        first = round(plan.start_s(kind) * rate_hz)
        part = slice(first, first + round(seconds * rate_hz))
        outputs = {
            "tone": (TONE_PEAK, TONE_PEAK),
            "left": (LEFT_PEAK, LEFT_PEAK * LEAK_LEFT_TO_RIGHT),
            "right": (RIGHT_PEAK * LEAK_RIGHT_TO_LEFT, RIGHT_PEAK),
        }[kind]
        tone_hz = 3150.0 if kind == "tone" else 1000.0
        turning = np.exp(2j * np.pi * tone_hz * groove_time(t[part]))
        sound[part] += np.real(turning[:, None] * np.array(outputs))
    return sound
