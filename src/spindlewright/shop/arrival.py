"""Arrival: a new job in a few words, and what is written down about deck, owner and agreement afterwards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from decimal import Decimal
from typing import Any, Literal

from sqlalchemy import Insert, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import flag_modified

from spindlewright.shop import accepted
from spindlewright.shop.errors import ChangedMeanwhile, NotAccepted
from spindlewright.shop.settings import settings_in
from spindlewright.shop.store import Shop
from spindlewright.shop.summaries import find_row, open_job, summarise
from spindlewright.shop.tables.decks import Deck, Owner
from spindlewright.shop.tables.jobs import Job, NumberSeries

Drive = Literal["belt", "idler", "direct", "unknown"]
Motor = Literal["synchronous", "induction", "dc", "servo", "unknown"]
ArmKind = Literal["pivoted", "unipivot", "plug-in", "linear", "unknown"]
CHOICES: dict[str, tuple[str, ...]] = {
    "drive": ("belt", "idler", "direct", "unknown"),
    "motor": ("synchronous", "induction", "dc", "servo", "unknown"),
    "arm": ("pivoted", "unipivot", "plug-in", "linear", "unknown"),
}
ABILITIES: dict[str, tuple[str, ...]] = {
    "speed_trim": ("none", "shared", "per_speed", "inside_motor", "unknown"),
    "azimuth": ("fixed", "adjustable", "unknown"),
    "height": ("fixed", "adjustable", "unknown"),
    "anti_skate": ("fixed", "adjustable", "unknown"),
}
USUAL_SPEEDS_RPM = (100.0 / 3.0, 45.0)
DIMENSION_ENDS = ("_mm", "_rpm", "_teeth", "_g", "_mn", "_poles", "_deg", "_hz", "_per_turn")
"""The unit stands at the end of a dimension's name."""


@dataclass(frozen=True, slots=True)
class NewJob:
    """What is needed to begin: the deck's name. All else may be empty and can be written down later.

    ``own_deck`` makes the shop the owner. ``deck_id`` is a deck that was here before: its data are used, and
    ``deck`` may be empty.
    """

    deck: str = ""
    complaint: str = ""
    owner_name: str = ""
    owner_contact: str = ""
    own_deck: bool = False
    deck_id: int | None = None
    serial: str = ""
    drive: str = "unknown"
    motor: str = "unknown"
    arm: str = "unknown"
    automatic: bool = False
    speeds_rpm: tuple[float, ...] = USUAL_SPEEDS_RPM
    plate_voltage_v: float | None = None
    plate_frequency_hz: float | None = None
    abilities: Mapping[str, str] = field(default_factory=dict)
    dimensions: Mapping[str, float] = field(default_factory=dict)
    condition: str = ""
    brought_with: str = ""
    missing: str = ""
    look_over_fee: Decimal | None = None
    stop_sum: Decimal | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class ArrivalChange:
    """New values for a job's arrival; None leaves a field as it is. A sum of "" takes it away."""

    deck: str | None = None
    complaint: str | None = None
    owner_name: str | None = None
    owner_contact: str | None = None
    own_deck: bool | None = None
    serial: str | None = None
    drive: str | None = None
    motor: str | None = None
    arm: str | None = None
    automatic: bool | None = None
    speeds_rpm: tuple[float, ...] | None = None
    plate_voltage_v: float | None = None
    plate_frequency_hz: float | None = None
    abilities: Mapping[str, str] | None = None
    dimensions: Mapping[str, float] | None = None
    condition: str | None = None
    brought_with: str | None = None
    missing: str | None = None
    look_over_fee: Decimal | str | None = None
    stop_sum: Decimal | str | None = None
    currency: str | None = None


OF_JOB = {
    "complaint": "the owner's words",
    "condition": "condition",
    "brought_with": "came with it",
    "missing": "missing",
}
SUMS = {"look_over_fee": "look-over fee", "stop_sum": "stop sum"}


def new_job(shop: Shop, new: NewJob) -> str:
    """Begin a job; gives its number, like "2026-0001". NotAccepted for a value that cannot be taken."""
    with shop.writing() as session:
        now = shop.now()
        if new.deck_id is None:
            deck = Deck(description=accepted.line("deck", new.deck, needed=True), added_at=now)
            deck.abilities, deck.dimensions = {}, {}
            _fill_deck(deck, _given(new, CHANGE_OF_DECK))
            session.add(deck)
        else:
            deck = find_row(session, Deck, new.deck_id, "deck")
        owner = Owner(name="", contact="", is_shop=False, added_at=now)
        _fill_owner(owner, new.owner_name, new.owner_contact, new.own_deck)
        session.add(owner)
        job = Job(number=_next_number(session, now.year), deck=deck, owner=owner, arrived_at=now)
        for name, title in OF_JOB.items():
            setattr(job, name, accepted.text(title, getattr(new, name)))
        for name, title in SUMS.items():
            setattr(job, name, accepted.money(title, getattr(new, name)))
        job.currency = accepted.line("currency", new.currency) or settings_in(session).currency
        job.shop_headshell = ""
        session.add(job)
        summarise(shop, session, job)
        return job.number


def change_arrival(shop: Shop, number: str, version: int, change: ArrivalChange) -> int:
    """Change what was written down at arrival; gives the new version. ``version`` is the one the change was made
    from: ChangedMeanwhile when the job has been changed since."""
    with shop.writing() as session:
        job = open_job(session, number)
        if job.version != version:
            raise ChangedMeanwhile(f"Job {job.number}")
        _fill_deck(job.deck, _given(change, CHANGE_OF_DECK))
        if change.deck is not None:
            job.deck.description = accepted.line("deck", change.deck, needed=True)
        _fill_owner(job.owner, change.owner_name, change.owner_contact, change.own_deck)
        for name, title in OF_JOB.items():
            if (words := getattr(change, name)) is not None:
                setattr(job, name, accepted.text(title, words))
        for name, title in SUMS.items():
            if (amount := getattr(change, name)) is not None:
                setattr(job, name, accepted.money(title, amount))
        if change.currency is not None:
            job.currency = accepted.line("currency", change.currency)
        flag_modified(job, "complaint")  # the version counts every change, also of deck or owner alone
        summarise(shop, session, job)
        return job.version


def use_shop_headshell(shop: Shop, number: str, name: str) -> None:
    """From now on recordings are made with the shop's own headshell called ``name``; empty: the deck's own again."""
    with shop.writing() as session:
        job = open_job(session, number)
        job.shop_headshell = accepted.line("shop's own headshell", name)
        summarise(shop, session, job)


CHANGE_OF_DECK = (
    *("serial", "drive", "motor", "arm", "automatic", "speeds_rpm"),
    *("plate_voltage_v", "plate_frequency_hz", "abilities", "dimensions"),
)


def _given(change: NewJob | ArrivalChange, names: tuple[str, ...]) -> dict[str, Any]:
    return {
        item.name: getattr(change, item.name)
        for item in fields(change)
        if item.name in names and getattr(change, item.name) is not None
    }


def _fill_deck(deck: Deck, given: dict[str, Any]) -> None:
    if "serial" in given:
        deck.serial = accepted.line("serial number", given["serial"])
    for name, allowed in CHOICES.items():
        if name in given:
            setattr(deck, name, accepted.choice(name, given[name], allowed))
    if "automatic" in given:
        deck.automatic = bool(given["automatic"])
    if "speeds_rpm" in given:
        speeds = sorted({accepted.number("speed", rpm, 8.0, 120.0, "rpm") for rpm in given["speeds_rpm"]})
        deck.speeds_rpm = speeds
    if "plate_voltage_v" in given:
        deck.plate_voltage_v = accepted.number("voltage on the plate", given["plate_voltage_v"], 1.0, 500.0, "V")
    if "plate_frequency_hz" in given:
        deck.plate_frequency_hz = accepted.number(
            "frequency on the plate", given["plate_frequency_hz"], 40.0, 70.0, "Hz"
        )
    if "abilities" in given:
        for name, value in given["abilities"].items():
            accepted.choice(name, value, ABILITIES[accepted.choice("what can be turned", name, tuple(ABILITIES))])
        deck.abilities = {**(deck.abilities or {}), **given["abilities"]}
    if "dimensions" in given:
        deck.dimensions = {**(deck.dimensions or {}), **_dimensions(given["dimensions"])}


def _dimensions(given: Mapping[str, float]) -> dict[str, float]:
    for name in given:
        if not name.endswith(DIMENSION_ENDS):
            ends = ", ".join(DIMENSION_ENDS)
            raise NotAccepted("dimension", repr(name), f"a name that ends in its unit ({ends})", "name its unit")
    return {
        accepted.line("dimension", name): accepted.number(name, value, 1e-3, 1e6, "") for name, value in given.items()
    }


def _fill_owner(owner: Owner, name: str | None, contact: str | None, own_deck: bool | None) -> None:
    if name is not None:
        owner.name = accepted.line("owner", name)
    if contact is not None:
        owner.contact = accepted.line("owner's contact", contact)
    if own_deck is not None:
        owner.is_shop = own_deck


def _next_number(session: Session, year: int) -> str:
    """The next number of the year; two benches never get the same."""
    kind = session.get_bind().dialect.name
    build = postgresql.insert if kind == "postgresql" else sqlite.insert
    statement: Insert = (
        build(NumberSeries)
        .values(year=year, last=1)
        .on_conflict_do_update(index_elements=["year"], set_={"last": NumberSeries.last + 1})
        .returning(NumberSeries.last)
    )
    return f"{year}-{session.scalar(statement):04d}"


def decks_like(shop: Shop, words: str, limit: int = 10) -> tuple[tuple[int, str], ...]:
    """Decks that were here before, for choosing one: (deck id, description with serial), newest first."""
    with shop.reading() as session:
        statement = select(Deck).order_by(Deck.id.desc()).limit(limit)
        for word in accepted.search_words(words):
            statement = statement.where(
                Deck.description.icontains(word, autoescape=True) | Deck.serial.icontains(word, autoescape=True)
            )
        return tuple(
            (deck.id, f"{deck.description}, serial {deck.serial}" if deck.serial else deck.description)
            for deck in session.scalars(statement)
        )
