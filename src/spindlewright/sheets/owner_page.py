"""The owner's page: one page in plain words. What was wrong, what was done, how much better, how to care for it."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.readings.comparison import Comparison
from spindlewright.sheets.from_job_card import day
from spindlewright.sheets.owner_words import (
    CARE_ALWAYS,
    CARE_BY_DRIVE,
    CAUSES,
    MEND,
    OUTCOMES,
    SUBJECTS,
    home_check,
)
from spindlewright.sheets.sheet_content import Told
from spindlewright.sheets.typesetting import typeset
from spindlewright.shop.settings import ShopSettings
from spindlewright.shop.views.card import JobCard
from spindlewright.wording import figures, value_with_uncertainty

TEMPLATE = "owner_page.typ"
LONGEST_WORDS = 260
"""Characters of a text typed by hand that one page has room for; the whole of it stands on the service sheet."""
MOST_ITEMS = 6


@dataclass(frozen=True, slots=True)
class PlainChange:
    """What the owner can hear of a change. ``before_share`` and ``after_share`` are the lengths of its bars, the
    longer one 1; both None where a bar would mean nothing."""

    title: str
    outcome: str
    words: str
    bar_shows: str
    before: str
    after: str
    before_share: float | None = None
    after_share: float | None = None


@dataclass(frozen=True, slots=True)
class OwnerContent:
    """All words of the owner's page. ``wrong``, ``done`` and ``left`` hold at most ``MOST_ITEMS``."""

    job_number: str
    shop_name: str
    shop_address: str
    deck_title: str
    owner: str
    issued: str
    said: str
    wrong: tuple[str, ...]
    done: tuple[str, ...]
    changes: tuple[PlainChange, ...]
    not_measured: str
    left: tuple[Told, ...]
    care: tuple[str, ...]
    check: tuple[str, ...]


def owner_page(card: JobCard, settings: ShopSettings, paper: str = "") -> bytes:
    """The owner's page of a job as a PDF of one page. Raises SheetError."""
    return typeset(TEMPLATE, owner_content(card, settings), paper or settings.paper)


def owner_content(card: JobCard, settings: ShopSettings) -> OwnerContent:
    """What the owner is told."""
    done = [task.words for task in card.tasks if task.done_at is not None]
    changes = tuple(change for change in map(_plain, _heard(card)) if change is not None)
    return OwnerContent(
        job_number=card.job.number,
        shop_name=settings.shop_name,
        shop_address=_short(settings.shop_address),
        deck_title=_short(card.deck.description, 90),
        owner=_short("the shop" if card.owner.is_shop else card.owner.name, 90),
        issued=day(card.handover.at) if card.handover else "",
        said=_short(card.job.complaint),
        wrong=_wrong(card),
        done=_few(done),
        changes=changes,
        not_measured="" if changes else _why_nothing(card),
        left=tuple(Told(_short(one.what, 80), _short(one.why, 120)) for one in card.left_undone[:3]),
        care=(*CARE_ALWAYS[:2], *[words for words in (CARE_BY_DRIVE.get(card.deck.drive),) if words], MEND),
        check=home_check(card.deck.speeds_rpm),
    )


def _short(words: str, most: int = LONGEST_WORDS) -> str:
    flat = " ".join(words.split())
    return flat if len(flat) <= most else flat[: most - 1].rstrip() + "…"


def _few(items: list[str]) -> tuple[str, ...]:
    shown = [_short(one, 150) for one in items[:MOST_ITEMS]]
    if len(items) > MOST_ITEMS:
        shown[-1] = f"and {len(items) - MOST_ITEMS + 1} things more: see the service sheet"
    return tuple(shown)


def _wrong(card: JobCard) -> tuple[str, ...]:
    """Causes the readings of Before pointed to, by the next moves; then what did not work."""
    causes = [
        CAUSES[move.key] for move in card.moves.get("before", ()) if move.key in CAUSES and move.kind != "repeat"
    ]
    failing = [f"{one.words} did not work." for one in card.functions if one.before == "does not"]
    return _few(list(dict.fromkeys((*causes, *failing))))


def _heard(card: JobCard) -> list[Comparison]:
    """One comparison for each thing that can be heard; of several channels the one with the worst outcome."""
    chosen = []
    for quantity in SUBJECTS:
        several = [one for one in card.comparisons if one.quantity == quantity]
        if several:
            worst = ("worse", "changed", "no change shown", "better")
            chosen.append(min(several, key=lambda one: worst.index(one.outcome)))
    return chosen


def _plain(one: Comparison) -> PlainChange | None:
    title, bar_shows = SUBJECTS[one.quantity]
    before, after = one.before.value, one.after.value
    if not bar_shows or one.before.bound or one.after.bound:
        return PlainChange(title, OUTCOMES[one.outcome], "", "", "", "")
    longest = max(abs(before), abs(after))
    if not longest:
        return None
    unit = one.unit if one.unit == "°" else f" {one.unit}"
    return PlainChange(
        title,
        OUTCOMES[one.outcome],
        _in_tune(one) if one.quantity == "speed_deviation" else "",
        bar_shows,
        f"{_size(one, before, one.before.uncertainty)}{unit}",
        f"{_size(one, after, one.after.uncertainty)}{unit}",
        abs(before) / longest,
        abs(after) / longest,
    )


def _size(one: Comparison, value: float, uncertainty: float) -> str:
    return value_with_uncertainty(abs(value), uncertainty, one.unit)[0]


def _in_tune(one: Comparison) -> str:
    """What the speed does to a tone: the pitch is as the speed.

    Source: derived, f = 440 Hz (1 + deviation); 440 Hz is the a of ISO 16 (from memory).
    """
    tones = [figures(440.0 * (1.0 + state.value / 100.0), 1) for state in (one.before, one.after)]
    return f"The a of an orchestra, 440 Hz, sounded at {tones[0]} Hz; now at {tones[1]} Hz."


def _why_nothing(card: JobCard) -> str:
    for view in card.no_recordings:
        if view.stage == "before":
            return f"It {view.words.removeprefix('it ')}, so there is nothing to compare with."
    if not card.readings_of("after"):
        return "It has not been measured again yet."
    return "There is nothing to compare: it was not measured in the same way before."
