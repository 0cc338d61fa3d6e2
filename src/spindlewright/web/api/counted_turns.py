"""Speed by counted turns: from taps, for a deck on its own or for a job."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import BaseModel, Field

from spindlewright.readings.counted_turns import FASTEST_RPM, LEAST_TAPS, SLOWEST_RPM, TapsError
from spindlewright.setup.deck_abilities import DeckAbilities, deck_abilities
from spindlewright.shop.advice import abilities_of
from spindlewright.shop.hand_readings import counted_turns_reading
from spindlewright.shop.job_card import job_card
from spindlewright.shop.settings import settings_of
from spindlewright.shop.store import Shop
from spindlewright.web.api_errors import ERRORS
from spindlewright.web.at_hand import ShopAtHand
from spindlewright.web.counted import CountedTurns, counted
from spindlewright.web.refused import Refused

router = APIRouter(tags=["counted turns"])
MOST_TAPS = 2000
LATEST_S = 1e7

Times = Annotated[
    list[Annotated[float, Field(ge=-LATEST_S, le=LATEST_S, allow_inf_nan=False)]],
    Field(min_length=LEAST_TAPS, max_length=MOST_TAPS, description="seconds on any clock that runs on, one a turn"),
]
Nominal = Annotated[float, Field(ge=SLOWEST_RPM, le=FASTEST_RPM, description="the speed the deck is set to, rpm")]


class Taps(BaseModel):
    """Taps, and what is known of the deck: its job's number, or its drive, motor and trim."""

    tap_times_s: Times
    nominal_rpm: Nominal = 100.0 / 3.0
    job: str | None = Field(None, max_length=40)
    drive: Literal["belt", "idler", "direct", "unknown"] = "unknown"
    motor: Literal["synchronous", "induction", "dc", "servo", "unknown"] = "unknown"
    speed_trim: Literal["none", "shared", "per_speed", "inside_motor", "unknown"] = "unknown"


class TapsOfJob(BaseModel):
    """Taps to keep as a reading of a stage of a job."""

    tap_times_s: Times
    nominal_rpm: Nominal = 100.0 / 3.0
    stage: Literal["before", "work", "set_up", "after"]


class Kept(BaseModel):
    """The reading that was kept, and the place of the job card that shows it."""

    reading_id: int
    page: str


@router.post("/api/counted-turns", responses=ERRORS)
def count(shop: ShopAtHand, taps: Taps) -> CountedTurns:
    """The speed from taps, its uncertainty from their own scatter, and the next move. Nothing is kept."""
    try:
        return counted(taps.tap_times_s, taps.nominal_rpm, _deck(shop, taps))
    except TapsError as problem:
        raise Refused(422, f"{problem}.", "tap_times_s") from None


@router.post("/api/jobs/{number}/counted-turns", status_code=201, responses=ERRORS)
def keep(shop: ShopAtHand, number: str, taps: TapsOfJob) -> Kept:
    """Keep the speed from taps as a reading by hand of that job."""
    reading_id = counted_turns_reading(shop, number, taps.stage, taps.tap_times_s, taps.nominal_rpm)
    return Kept(reading_id=reading_id, page=f"/jobs/{number}#{taps.stage}")


def _deck(shop: Shop, taps: Taps) -> DeckAbilities:
    mains_hz = settings_of(shop).mains_frequency_hz
    if taps.job:
        return abilities_of(job_card(shop, taps.job).deck, mains_hz)
    return deck_abilities(
        drive=taps.drive, motor=taps.motor, abilities={"speed_trim": taps.speed_trim}, mains_hz=mains_hz
    )
