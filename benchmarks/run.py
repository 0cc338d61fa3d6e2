"""Speed and memory of the engine: one command, ratios in one run.

    python benchmarks/run.py            all of it (needs about 3 GB of disk and 12 GB of memory, a few minutes)
    python benchmarks/run.py --short    5 minutes of sound only, without the whole-file Hilbert route

Every figure is of a whole process, start-up included; the decoding it is held against is the loop alone, without the
start-up of Python. Decoding and readings are run in turn and the fastest run of each counts, so that other work on
the machine disturbs their ratio little; processor time is shown beside it. The recordings are rendered by the
simulator into a temporary folder.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
DECODE = """
import sys, time, soundfile, numpy
buffer = numpy.empty((65280, 2), numpy.float32)
begin = time.perf_counter()
with soundfile.SoundFile(sys.argv[1]) as file:
    while len(file.read(65280, dtype="float32", out=buffer)) > 0:
        pass
print(time.perf_counter() - begin)
"""
HILBERT = """
import sys, numpy, soundfile
from scipy import fft, signal
sound, rate = soundfile.read(sys.argv[1])
sound = sound[: fft.prev_fast_len(len(sound))]  # a length with a large prime factor takes over 22 GB at 25 minutes
for channel in range(2):
    phase = numpy.unwrap(numpy.angle(signal.hilbert(sound[:, channel])))
    deviation = numpy.diff(phase) * rate / (2 * numpy.pi * 3150) - 1
    slow = signal.resample_poly(deviation, 1, 48)
    print(numpy.percentile(numpy.abs(slow - slow.mean()), 95))
"""


@dataclass(frozen=True)
class Run:
    """Wall seconds, processor seconds and peak memory of one process."""

    wall_s: float
    processor_s: float
    peak_mib: float
    output: str


def run(command: list[str]) -> Run:
    """One process from start to end."""
    with tempfile.TemporaryFile() as output:
        begin = time.perf_counter()
        child = subprocess.Popen(command, stdout=output, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(child.pid, 0)
        wall_s = time.perf_counter() - begin
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode != 0:
            raise SystemExit(f"{' '.join(command[:3])} … ended with status {child.returncode}")
        output.seek(0)
        return Run(wall_s, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024.0, output.read().decode())


def spindlewright(*words: str) -> list[str]:
    return [sys.executable, "-m", "spindlewright.cli", *words]


def median(command: list[str], times: int) -> Run:
    """The run with the middle wall time, after one that warms the caches."""
    run(command)
    runs = sorted((run(command) for _ in range(times)), key=lambda done: done.wall_s)
    return runs[len(runs) // 2]


def render(folder: Path, minutes: int) -> Path:
    """A side of ``minutes``, 24 bit at 96 kHz in stereo, by the simulator."""
    spec = folder / f"side-{minutes}.toml"
    long_s = minutes * 60.0 - 215.0
    spec.write_text((HERE / "side.toml").read_text().replace("LONG_SECONDS", f"{long_s:.1f}"))
    target = folder / f"side-{minutes}.wav"
    run(spindlewright("simulate", str(spec), str(target)))
    return target


def decoding_s(file: Path) -> float:
    return float(run([sys.executable, "-c", DECODE, str(file)]).output)


def line(what: str, figure: str, target: str, met: bool) -> None:
    print(f"{what:<58}{figure:>14}{target:>12}  {'met' if met else 'MISSED'}")


def measured(file: Path, minutes: int, repeats: int) -> Run:
    """Ratio to decoding and memory of all readings of one side."""
    decoding_s(file)  # warms the caches
    pairs = [(decoding_s(file), run(spindlewright("measure", str(file), "--json"))) for _ in range(repeats)]
    decode_s = min(decoded for decoded, _ in pairs)
    done = min((measured for _, measured in pairs), key=lambda one: one.wall_s)
    ratio = done.wall_s / decode_s
    line(f"{minutes} min side, decoding only", f"{decode_s:.2f} s", "", True)
    line(f"{minutes} min side, all readings", f"{done.wall_s:.2f} s", "", True)
    line(f"{minutes} min side, processor time of all readings", f"{done.processor_s:.2f} s", "", True)
    if minutes >= 25:
        line(f"{minutes} min side, readings / decoding", f"{ratio:.2f}", "<= 4", ratio <= 4.0)
    line(f"{minutes} min side, peak memory", f"{done.peak_mib:.0f} MiB", "<= 300 MiB", done.peak_mib <= 300.0)
    return done


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--short", action="store_true")
    short = parser.parse_args().short
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        measured(render(folder, 5), 5, 3)
        if not short:
            side = render(folder, 25)
            done = measured(side, 25, 3)
            hilbert = run([sys.executable, "-c", HILBERT, str(side)])
            share = done.wall_s / hilbert.wall_s
            line("25 min side, readings / whole-file Hilbert route", f"{share:.3f}", "<= 0.1", share <= 0.1)
        tone = folder / "tone.wav"
        run(spindlewright("simulate", str(HERE / "tone.toml"), str(tone)))
        minute = median(spindlewright("measure", str(tone), "--json"), 5)
        line("60 s tone, all readings", f"{minute.wall_s:.2f} s", "<= 1.5 s", minute.wall_s <= 1.5)
        help_run = median(spindlewright("--help"), 5)
        line("--help", f"{help_run.wall_s:.2f} s", "<= 0.4 s", help_run.wall_s <= 0.4)


if __name__ == "__main__":
    main()
