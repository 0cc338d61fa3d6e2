"""The type of the fixture ``measured``: samples and rate in, a measurement out."""

from __future__ import annotations

from collections.abc import Callable

from spindlewright.measurement import Measurement

Measured = Callable[..., Measurement]
