"""Arrival: a job from a deck's name alone, numbers in a row, changes that do not overwrite each other."""

from __future__ import annotations

import threading
from decimal import Decimal

import pytest
from bench_day import BenchClock, arrived

from spindlewright.shop.arrival import ArrivalChange, NewJob, change_arrival, decks_like, new_job, use_shop_headshell
from spindlewright.shop.errors import ChangedMeanwhile, NotAccepted, NotFound
from spindlewright.shop.job_card import job_card
from spindlewright.shop.settings import ShopSettings, change_settings, settings_of
from spindlewright.shop.store import Shop


def test_a_name_and_the_owners_words_are_enough(shop: Shop) -> None:
    number = new_job(shop, NewJob(deck="grey belt deck", complaint="hums"))
    card = job_card(shop, number)
    assert number == "2026-0001"
    assert (card.deck.description, card.job.complaint, card.deck.drive) == ("grey belt deck", "hums", "unknown")
    assert card.deck.speeds_rpm == (100.0 / 3.0, 45.0)
    assert card.job.currency == "EUR"


def test_everything_written_down_comes_back(shop: Shop) -> None:
    new = NewJob(
        deck="unit 2",
        complaint="slow",
        owner_name="Town library",
        owner_contact="desk",
        serial="S 77",
        drive="belt",
        motor="synchronous",
        arm="pivoted",
        automatic=True,
        speeds_rpm=(45.0, 100.0 / 3.0, 45.0),
        plate_voltage_v=120.0,
        plate_frequency_hz=60.0,
        abilities={"speed_trim": "none", "azimuth": "adjustable"},
        dimensions={"hub_mm": 160.0, "motor_poles": 24},
        condition="lid scratched\nfoot missing",
        brought_with="lead",
        missing="foot",
        look_over_fee=Decimal("15"),
        stop_sum=Decimal("79.50"),
        currency="CHF",
    )
    card = job_card(shop, new_job(shop, new))
    deck, job = card.deck, card.job
    assert deck.speeds_rpm == (100.0 / 3.0, 45.0)
    assert (deck.serial, deck.drive, deck.motor, deck.arm, deck.automatic) == (
        *("S 77", "belt", "synchronous", "pivoted"),
        True,
    )
    assert (deck.plate_voltage_v, deck.plate_frequency_hz) == (120.0, 60.0)
    assert deck.abilities == {"speed_trim": "none", "azimuth": "adjustable"}
    assert deck.dimensions == {"hub_mm": 160.0, "motor_poles": 24}
    assert (job.condition, job.brought_with, job.missing) == ("lid scratched\nfoot missing", "lead", "foot")
    assert (job.look_over_fee, job.stop_sum, job.currency) == (Decimal("15.00"), Decimal("79.50"), "CHF")
    assert card.owner.contact == "desk"


def test_numbers_begin_anew_each_year(shop: Shop, clock: BenchClock) -> None:
    assert [arrived(shop), arrived(shop)] == ["2026-0001", "2026-0002"]
    clock.pass_by(days=365)
    assert arrived(shop) == "2027-0001"


def test_four_benches_never_get_the_same_number(shop: Shop) -> None:
    numbers: list[str] = []

    def begins() -> None:
        for _ in range(5):
            numbers.append(arrived(shop))

    threads = [threading.Thread(target=begins) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(numbers) == [f"2026-{serial:04d}" for serial in range(1, 21)]


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"deck": " "}, "deck: found nothing"),
        ({"drive": "string"}, "drive: found 'string', allowed is belt, idler, direct, unknown"),
        ({"speeds_rpm": (3.0,)}, "speed: found 3 rpm, allowed is 8 to 120 rpm"),
        ({"abilities": {"azimuth": "perhaps"}}, "azimuth: found 'perhaps'"),
        ({"abilities": {"colour": "fixed"}}, "what can be turned: found 'colour'"),
        ({"dimensions": {"hub": 160.0}}, "dimension: found 'hub', allowed is a name that ends in its unit"),
        ({"dimensions": {"hub_mm": 0.0}}, "hub_mm: found 0"),
        ({"plate_voltage_v": float("nan")}, "voltage on the plate: found nan"),
        ({"stop_sum": Decimal("-1")}, "stop sum: found -1"),
    ],
)
def test_a_value_that_cannot_be_makes_no_job(sqlite_shop: Shop, wrong: dict[str, object], message: str) -> None:
    with pytest.raises(NotAccepted, match=message):
        new_job(sqlite_shop, NewJob(**{"deck": "unit", **wrong}))  # type: ignore[arg-type]
    assert arrived(sqlite_shop) == "2026-0001"


def test_a_change_is_kept_and_counts_the_version(shop: Shop) -> None:
    number = arrived(shop)
    version = job_card(shop, number).job.version
    newer = change_arrival(shop, number, version, ArrivalChange(serial="S 78", owner_contact="desk", stop_sum=""))
    card = job_card(shop, number)
    assert card.job.version == newer == version + 1
    assert (card.deck.serial, card.owner.contact, card.job.stop_sum) == ("S 78", "desk", None)
    assert card.job.complaint == "plays too slow"


def test_the_second_of_two_changes_from_the_same_page_is_refused(shop: Shop) -> None:
    number = arrived(shop)
    version = job_card(shop, number).job.version
    change_arrival(shop, number, version, ArrivalChange(condition="first"))
    with pytest.raises(ChangedMeanwhile, match=f"Job {number} was changed meanwhile"):
        change_arrival(shop, number, version, ArrivalChange(condition="second"))
    assert job_card(shop, number).job.condition == "first"


def test_other_work_on_the_job_does_not_spoil_a_change(shop: Shop) -> None:
    from bench_day import answer_all

    number = arrived(shop)
    version = job_card(shop, number).job.version
    answer_all(shop, number)
    change_arrival(shop, number, version, ArrivalChange(condition="still mine"))


def test_a_deck_that_comes_again_keeps_its_data(shop: Shop) -> None:
    first = job_card(shop, arrived(shop, serial="S 1", drive="belt"))
    ((deck_id, words),) = decks_like(shop, "UNIT s")
    assert (deck_id, words) == (first.deck.id, "belt deck, unit 3, serial S 1")
    again = job_card(shop, new_job(shop, NewJob(deck_id=deck_id, complaint="slow again")))
    assert again.deck == first.deck
    assert again.job.number != first.job.number
    with pytest.raises(NotFound, match="There is no deck 99"):
        new_job(shop, NewJob(deck_id=99))


def test_there_is_no_such_job(sqlite_shop: Shop) -> None:
    with pytest.raises(NotFound, match="There is no job '2026-0009'"):
        job_card(sqlite_shop, "2026-0009")


def test_the_shops_own_headshell_is_named(shop: Shop) -> None:
    number = arrived(shop)
    use_shop_headshell(shop, number, "number 2, spherical")
    assert job_card(shop, number).job.shop_headshell == "number 2, spherical"


def test_settings(shop: Shop) -> None:
    assert settings_of(shop) == ShopSettings()
    new = ShopSettings(shop_name="The bench", mains_voltage_v=120.0, mains_frequency_hz=60.0, paper="letter")
    change_settings(shop, new)
    assert settings_of(shop) == new
    with pytest.raises(NotAccepted, match="limits: found 'mine'"):
        change_settings(shop, ShopSettings(limits="mine"))
    assert settings_of(shop) == new
