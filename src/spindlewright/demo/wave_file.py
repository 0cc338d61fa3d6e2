"""A simulated recording written to a WAV file, block by block."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import soundfile

from spindlewright.simulate.recorder import as_integers
from spindlewright.simulate.render import frames, render_blocks
from spindlewright.simulate.spec import Spec

LARGEST_WAV_BYTES = 4_000_000_000
"""Beyond this the file is written as RF64, which readers of WAV know as its large form."""


def size_bytes(spec: Spec) -> int:
    """About how many bytes the file will have."""
    bits = spec.recorder.bits
    return frames(spec) * 2 * (4 if bits == "float" else bits // 8)


def write_wave_file(spec: Spec, out: Path, progress: Callable[[float, str], None] | None = None) -> float:
    """Play ``spec`` and write it to ``out``; gives the length in s. Raises ``soundfile.LibsndfileError`` or OSError
    when the file can't be written; what was written until then is left there."""
    bits, total = spec.recorder.bits, frames(spec)
    rate = spec.recorder.declared_rate_hz or spec.recorder.rate_hz
    done = 0
    with soundfile.SoundFile(
        out,
        "w",
        samplerate=rate,
        channels=2,
        format="RF64" if size_bytes(spec) > LARGEST_WAV_BYTES else "WAV",
        subtype="FLOAT" if bits == "float" else f"PCM_{bits}",
    ) as file:
        for block in render_blocks(spec):
            file.write(block if bits == "float" else as_integers(block, bits))
            done += len(block)
            if progress is not None:
                progress(done / total, "playing")
    return done / rate
