"""The shop's own settings: what stands at the head of a sheet, and what the mains are here."""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from typing import Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from spindlewright.shop import accepted
from spindlewright.shop.store import Shop
from spindlewright.shop.tables.settings import Setting


@dataclass(frozen=True, slots=True)
class ShopSettings:
    """``limits`` is the set of limits used when a recording names none; ``recorder`` the name of the recorder (the
    audio interface) used when a recording names none: the clock of one recorder is the same before and after."""

    shop_name: str = ""
    shop_address: str = ""
    stands_for_it: str = ""
    mains_voltage_v: float = 230.0
    mains_frequency_hz: float = 50.0
    currency: str = "EUR"
    paper: Literal["a4", "letter"] = "a4"
    limits: str = "hi-fi-minimum"
    recorder: str = ""


def settings_of(shop: Shop) -> ShopSettings:
    """The settings as they are."""
    with shop.reading() as session:
        return settings_in(session)


def settings_in(session: Session) -> ShopSettings:
    """The same, within a session."""
    kept = {row.key: row.value for row in session.scalars(select(Setting))}
    return ShopSettings(**{item.name: kept[item.name] for item in fields(ShopSettings) if item.name in kept})


def change_settings(shop: Shop, settings: ShopSettings) -> None:
    """Keep ``settings``. NotAccepted for a value that cannot be."""
    from spindlewright.standards.limits import named_limits

    accepted.choice("paper", settings.paper, ("a4", "letter"))
    accepted.choice("limits", settings.limits, tuple(named_limits()))
    accepted.number("mains voltage", settings.mains_voltage_v, 80.0, 260.0, "V")
    accepted.number("mains frequency", settings.mains_frequency_hz, 45.0, 65.0, "Hz")
    accepted.line("name of the shop", settings.shop_name)
    accepted.text("address of the shop", settings.shop_address)
    accepted.line("stands for it", settings.stands_for_it)
    accepted.line("currency", settings.currency)
    accepted.line("recorder", settings.recorder)
    with shop.writing() as session:
        for key, value in asdict(settings).items():
            session.merge(Setting(key=key, value=value))
