"""Sides made of plain numpy sums, with nothing of the package in it: tones, gaps, hum, rumble, ticks, noise."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True)
class Cut:
    """One stretch: kind, frequency as cut, length, peak level of a driven channel in dBFS (sine: 0 is full scale)."""

    kind: str
    hz: float | None
    seconds: float
    level_db: float = -12.0


def gap(seconds: float) -> Cut:
    return Cut("gap", None, seconds)


@dataclass(frozen=True)
class Placed:
    cut: Cut
    start_s: float
    end_s: float


@dataclass
class Scene:
    """A side with its truth. ``speed`` is the error as a fraction; ``wow`` a once-per-turn sine, peak fraction."""

    cuts: list[Cut]
    rate: int = 16000
    lead_s: float = 1.0
    speed: float = 0.0
    wow: float = 0.001
    noise_db: float = -70.0
    hum_db: float | None = None
    rumble_db: float | None = None
    ticks_per_minute: float = 0.0
    tick_peak: float = 0.4
    crosstalk: float = 0.06
    balance: tuple[float, float] = (1.0, 1.0)
    seed: int = 1
    placed: list[Placed] = field(default_factory=list)

    def sound(self) -> np.ndarray:
        """The samples (n, 2) float32; fills ``placed``."""
        rng = np.random.default_rng(self.seed)
        total_s = self.lead_s + sum(c.seconds for c in self.cuts)
        n = int(total_s * self.rate)
        x = np.zeros((n, 2))
        at = self.lead_s
        self.placed = []
        for cut in self.cuts:
            begin, end = int(at * self.rate), min(n, int((at + cut.seconds) * self.rate))
            if cut.kind != "gap":
                self.placed.append(Placed(cut, at, at + cut.seconds))
            if cut.hz is not None:
                x[begin:end] += self._tone(cut, begin, end, rng)
            if cut.kind == "noise":
                x[begin:end] += rng.standard_normal((end - begin, 2)) * 10 ** (cut.level_db / 20) / np.sqrt(2)
            at += cut.seconds
        x *= self.balance
        x += rng.standard_normal((n, 2)) * 10 ** (self.noise_db / 20) / np.sqrt(2)
        self._add_hum(x, rng)
        self._add_rumble(x, rng)
        self._add_ticks(x, rng, total_s)
        return x.astype(np.float32)

    def _tone(self, cut: Cut, begin: int, end: int, rng: np.random.Generator) -> np.ndarray:
        assert cut.hz is not None
        t = np.arange(begin, end) / self.rate
        turn_hz = 100 / 180 * (1 + self.speed)
        played = cut.hz * (1 + self.speed)
        phase = (
            2 * np.pi * played * t + played * self.wow / turn_hz * np.sin(2 * np.pi * turn_hz * t) + rng.uniform(0, 6)
        )
        left, right = {
            "tone": (1.0, 1.0),
            "left": (1.0, self.crosstalk),
            "right": (self.crosstalk, 1.0),
            "vertical": (1.0, -1.0),
        }[cut.kind]
        return 10 ** (cut.level_db / 20) * np.sin(phase)[:, None] * [left, right]

    def _add_hum(self, x: np.ndarray, rng: np.random.Generator) -> None:
        if self.hum_db is None:
            return
        t = np.arange(len(x)) / self.rate
        for order, below in ((1, 0.0), (2, -8.0), (3, -4.0), (5, -12.0)):
            line = np.sin(2 * np.pi * 50.01 * order * t + rng.uniform(0, 6))
            x += 10 ** ((self.hum_db + below) / 20) * line[:, None] * [1.0, 0.8]

    def _add_rumble(self, x: np.ndarray, rng: np.random.Generator) -> None:
        if self.rumble_db is None:
            return
        spectrum = np.fft.rfft(rng.standard_normal(x.shape), axis=0)
        hz = np.fft.rfftfreq(len(x), 1 / self.rate)
        spectrum *= np.exp(-(((hz - 15) / 10) ** 2))[:, None]
        rumble = np.fft.irfft(spectrum, len(x), axis=0)
        x += rumble / rumble.std() * 10 ** (self.rumble_db / 20) / np.sqrt(2)

    def _add_ticks(self, x: np.ndarray, rng: np.random.Generator, total_s: float) -> None:
        width = int(self.rate * 3e-4) + 3
        pulse = np.hanning(width)[:, None]
        for place in rng.integers(0, len(x) - width, int(self.ticks_per_minute * total_s / 60)):
            x[place : place + width] += self.tick_peak * rng.choice([-1, 1]) * pulse
