"""Every measurement the tool knows, in the order in which they conclude.

A new reading is one module in this folder and one line here: pages, commands, documentation and live capture all
find it through this register. Later methods may use the readings of earlier ones (rumble needs the reference level).
"""

from __future__ import annotations

from spindlewright.readings.azimuth import Azimuth
from spindlewright.readings.channel_balance import ChannelBalance
from spindlewright.readings.clicks import Clicks
from spindlewright.readings.crosstalk import Crosstalk
from spindlewright.readings.hum import Hum
from spindlewright.readings.level_reference import LevelReference
from spindlewright.readings.method import Method, Quantity
from spindlewright.readings.once_per_revolution import OncePerRevolution
from spindlewright.readings.rumble import Rumble
from spindlewright.readings.speed import Speed
from spindlewright.readings.surface_noise import SurfaceNoise
from spindlewright.readings.wow_and_flutter import WowAndFlutter

METHODS: tuple[Method, ...] = (
    LevelReference(),
    Speed(),
    OncePerRevolution(),
    WowAndFlutter(),
    Hum(),
    ChannelBalance(),
    Crosstalk(),
    Azimuth(),
    Rumble(),
    SurfaceNoise(),
    Clicks(),
)


def quantities() -> dict[str, Quantity]:
    """The glossary entry of every quantity that some method gives, by its key."""
    return {quantity.name: quantity for method in METHODS for quantity in method.quantities}
