"""How a recording was made, from the fields of a form or the query of an address."""

from __future__ import annotations

from typing import Any, cast

from spindlewright.shop.views.recordings import CaptureOptions
from spindlewright.web.typed import rpm_or_none

CHAINS = {
    "riaa": "a phono stage with RIAA equalisation",
    "flat": "a flat amplifier, no equalisation",
    "unknown": "not known",
}


def recording_options(disc: str, rpm: str, chain: str, arm_lifted: bool, note: str) -> CaptureOptions:
    """As the shop keeps them; NotAccepted for a speed that can't be read (the shop looks at the others)."""
    speed = rpm_or_none("speed the disc was cut for", rpm)
    return CaptureOptions(disc=disc, rpm=speed, chain=cast(Any, chain or "riaa"), arm_lifted=arm_lifted, note=note)
