"""The jobs list and new jobs, for scripts."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import BaseModel, Field

from spindlewright.shop.arrival import NewJob, decks_like, new_job
from spindlewright.shop.jobs_list import jobs
from spindlewright.web.api_errors import ERRORS
from spindlewright.web.at_hand import ShopAtHand

router = APIRouter(tags=["jobs"])


class JobLine(BaseModel):
    """One line of the jobs list."""

    number: str
    deck: str
    owner: str
    complaint: str
    place: str
    stage: str
    next_step: str
    waiting_for: str
    arrived_at: datetime
    changed_at: datetime


class JobLines(BaseModel):
    """Some jobs, newest change first, and how many match."""

    jobs: list[JobLine]
    total: int
    counts: dict[str, int] = Field(description="how many match, by place")


class JobBegun(BaseModel):
    """What is needed to begin a job."""

    deck: str = Field(description="what stands on its plate", min_length=1, max_length=200)
    complaint: str = Field("", description="the owner's own words", max_length=10_000)
    owner_name: str = Field("", max_length=200)
    owner_contact: str = Field("", max_length=200)
    own_deck: bool = Field(False, description="the shop's own deck")


class JobNumber(BaseModel):
    """The number of the job and its page."""

    number: str
    page: str


class KnownDeck(BaseModel):
    """A deck that was here before."""

    deck_id: int
    words: str = Field(description="description and serial number")


@router.get("/api/decks", responses=ERRORS, tags=["decks"])
def list_decks(
    shop: ShopAtHand, words: Annotated[str, Query(max_length=200, description="every one must be found")] = ""
) -> list[KnownDeck]:
    """Decks that were here before, newest first, ten at most."""
    return [KnownDeck(deck_id=deck_id, words=found) for deck_id, found in decks_like(shop, words)]


@router.get("/api/jobs", responses=ERRORS)
def list_jobs(
    shop: ShopAtHand,
    words: Annotated[str, Query(max_length=200, description="every one of them must be found")] = "",
    place: Literal["on the bench", "waiting", "ready", "handed over", "all"] = "all",
    limit: Annotated[int, Query(ge=1, le=500)] = 50,
    start: Annotated[int, Query(ge=0, le=1_000_000)] = 0,
) -> JobLines:
    """Jobs that have every word in number, deck, serial, owner or complaint."""
    found = jobs(shop, words, place, limit, start)
    lines = [
        JobLine(
            number=row.number,
            deck=row.deck,
            owner=row.owner,
            complaint=row.complaint,
            place=row.place,
            stage=row.stage,
            next_step=row.next_words,
            waiting_for=row.waiting_for,
            arrived_at=row.arrived_at,
            changed_at=row.changed_at,
        )
        for row in found.rows
    ]
    return JobLines(jobs=lines, total=found.total, counts=dict(found.counts))


@router.post("/api/jobs", status_code=201, responses=ERRORS)
def begin_job(shop: ShopAtHand, new: JobBegun) -> JobNumber:
    """Begin a job."""
    number = new_job(
        shop,
        NewJob(
            deck=new.deck,
            complaint=new.complaint,
            owner_name=new.owner_name,
            owner_contact=new.owner_contact,
            own_deck=new.own_deck,
        ),
    )
    return JobNumber(number=number, page=f"/jobs/{number}")
