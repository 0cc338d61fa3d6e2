"""Whose decks they are, and whose bench it is: all invented."""

from __future__ import annotations

from spindlewright.shop.settings import ShopSettings

OWNER = "Town library, listening room"
CONTACT = "the desk of the listening room"
SETTINGS = ShopSettings(
    shop_name="The demonstration bench",
    shop_address="no real workshop: every deck here is simulated",
    stands_for_it="the bench",
    mains_voltage_v=230.0,
    mains_frequency_hz=50.0,
    currency="EUR",
)
