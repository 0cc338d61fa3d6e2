"""One recording measured in a process of its own: whatever it does, the shop goes on.

Reads one line of JSON on standard input (what to measure), prints lines of JSON: ``{"share", "words"}`` while it
works, then ``{"measurement": object}`` or ``{"failed": sentence}``. It ends when its standard input is closed, so that
it does not outlive the program that started it.
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

TELL_EVERY_S = 0.2


def main() -> None:
    """Measure what standard input asks for."""
    spec = json.loads(sys.stdin.readline())
    threading.Thread(target=_end_with_parent, daemon=True).start()
    try:
        answer: dict[str, Any] = {"measurement": measured(spec)}
    except FailedError as problem:
        answer = {"failed": str(problem)}
    _tell(answer)


class FailedError(Exception):
    """The recording cannot be measured; ``str()`` is the sentence for the page."""


def measured(spec: Mapping[str, Any]) -> dict[str, Any]:
    """The measurement object of one recording."""
    from spindlewright.bands.layout import layout_from_toml
    from spindlewright.capture.errors import CaptureError
    from spindlewright.capture.recording import Recording
    from spindlewright.contract import to_json_object
    from spindlewright.measure import measure
    from spindlewright.readings.side import Arm

    path, name = Path(spec["path"]), spec["file_name"]
    try:
        if spec["longest_s"] is not None:
            with Recording(path) as recording:
                _check_length(recording.info.duration_s, spec["longest_s"], name)
        measurement = measure(
            path,
            rpm=spec["rpm"],
            layout=layout_from_toml(spec["layout"], spec["layout_name"]) if spec["layout"] else None,
            limits=spec["limits"],
            mains_hz=spec["mains_hz"],
            chain=spec["chain"],
            arm=Arm(*spec["arm"]) if spec["arm"] else None,
            curves=True,
            progress=Teller(),
        )
    except CaptureError as problem:
        raise FailedError(f"{name}: {problem.what}") from None
    except MemoryError:
        raise FailedError(
            f"{name}: there is not enough memory to measure it. Close other programs, measure again."
        ) from None
    except FailedError:
        raise
    except Exception as problem:
        raise FailedError(
            f"{name}: measuring it stopped on a fault of this program ({type(problem).__name__}: {problem}). "
            "The recording is kept; measure it again with a newer Spindlewright."
        ) from None
    return to_json_object(measurement)


def _check_length(duration_s: float, longest_s: float, name: str) -> None:
    if duration_s > longest_s:
        raise FailedError(
            f"{name}: it is {duration_s:.0f} s long; from a deck that turns dry or rough one take of at most "
            f"{longest_s:.0f} s is allowed. Let it rest, clean and oil the bearing, or send a shorter take."
        )


class Teller:
    """Tells progress, not more often than ``TELL_EVERY_S``."""

    def __init__(self) -> None:
        self._last_s = 0.0

    def __call__(self, share: float, words: str) -> None:
        now_s = time.monotonic()
        if now_s - self._last_s >= TELL_EVERY_S or share >= 1.0:
            self._last_s = now_s
            _tell({"share": round(min(max(share, 0.0), 1.0), 4), "words": words})


def _tell(line: Mapping[str, Any]) -> None:
    sys.stdout.write(json.dumps(line, allow_nan=False) + "\n")
    sys.stdout.flush()


def _end_with_parent() -> None:
    sys.stdin.read()
    os._exit(3)


if __name__ == "__main__":
    main()
