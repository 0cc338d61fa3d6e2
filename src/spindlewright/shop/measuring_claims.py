"""Which recordings wait to be measured, and who measures them: one bench takes one, and another takes over when the
first is gone."""

from __future__ import annotations

import os
import socket
from datetime import timedelta
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from spindlewright.shop.as_views import options_of
from spindlewright.shop.discs import disc_named
from spindlewright.shop.errors import NotAccepted
from spindlewright.shop.gate_questions import SHORT_TAKE_S
from spindlewright.shop.settings import settings_in
from spindlewright.shop.store import Shop
from spindlewright.shop.tables.jobs import Job
from spindlewright.shop.tables.recordings import Capture

LEASE_S = 60.0
"""A claim that is not renewed for so long was left by a bench that is gone."""
MOST_ATTEMPTS = 3
"""A recording whose measuring ended the process so often is given up."""
ARM_LIFTED = '[[band]]\nname = "arm lifted"\nkind = "lifted"\n'


def claim_next(shop: Shop, me: str) -> tuple[int, int, dict[str, Any] | NotAccepted] | None:
    """Take the next recording that waits: (capture id, attempt, what the child is told). None: nothing waits."""
    now = shop.now()
    with shop.reading() as session:
        if not _waiting(session, me, now):
            return None
    with shop.writing() as session:
        waiting = _waiting(session, me, now, lock=True)
        if not waiting:
            return None
        row = waiting[0]
        row.state, row.claimed_by, row.claimed_until = "measuring", me, now + timedelta(seconds=LEASE_S)
        row.attempts += 1
        try:
            return row.id, row.attempts, _spec(shop, session, row)
        except NotAccepted as problem:
            return row.id, row.attempts, problem


def renew(shop: Shop, capture_id: int, me: str) -> None:
    """Say that the measuring still goes on."""
    with shop.writing() as session:
        row = session.get(Capture, capture_id)
        if row is not None and row.claimed_by == me:
            row.claimed_until = shop.now() + timedelta(seconds=LEASE_S)


def give_back(shop: Shop, capture_id: int, me: str, *, counts: bool) -> None:
    """Stop measuring without a result; the recording waits again. ``counts``: it was a try of its own."""
    with shop.writing() as session:
        row = session.get(Capture, capture_id)
        if row is not None and row.claimed_by == me and row.state == "measuring":
            row.state, row.claimed_by, row.claimed_until = "stored", "", None
            row.attempts -= 0 if counts else 1


def my_name(serial: int) -> str:
    """This queue's name: host, process, number within the process."""
    return f"{socket.gethostname()}:{os.getpid()}:{serial}"


def _waiting(session: Session, me: str, now: Any, *, lock: bool = False) -> list[Capture]:
    wanted = select(Capture).where(or_(Capture.state == "stored", Capture.state == "measuring")).order_by(Capture.id)
    if lock:
        wanted = wanted.with_for_update(skip_locked=True)
    return [
        row
        for row in session.scalars(wanted)
        if row.state == "stored"
        or row.claimed_until is None
        or row.claimed_until < now
        or _is_gone(row.claimed_by, me)
    ]


def _is_gone(claimed_by: str, me: str) -> bool:
    """True when the claim is of a process of this host that no longer runs."""
    host, _, rest = claimed_by.rpartition(":")[0].rpartition(":")
    my_host, _, my_rest = me.rpartition(":")[0].rpartition(":")
    if host != my_host or rest == my_rest:
        return False
    return not is_running(int(rest)) if rest.isdigit() else False


def is_running(process_id: int) -> bool:
    """Whether a process of this host runs (one that has ended and waits to be collected does not count)."""
    if os.name != "posix":
        return True  # told by the lease alone
    try:
        os.kill(process_id, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _spec(shop: Shop, session: Session, row: Capture) -> dict[str, Any]:
    options = options_of(row.options)
    job = session.get_one(Job, row.job_id)
    settings = settings_in(session)
    disc = disc_named(shop, options.disc) if options.disc else None
    effective_mm = job.deck.dimensions.get("effective_length_mm")
    pivot_mm = job.deck.dimensions.get("pivot_to_spindle_mm")
    arm = [effective_mm, pivot_mm] if effective_mm and pivot_mm and pivot_mm < effective_mm else None
    return {
        "path": str(shop.files.folder / row.sha256[:2] / row.sha256),
        "file_name": row.file_name,
        "rpm": options.rpm,
        "layout": disc.toml if disc else ARM_LIFTED if options.arm_lifted else None,
        "layout_name": disc.name if disc else "arm lifted",
        "limits": options.limits or settings.limits,
        "mains_hz": options.mains_hz,
        "chain": options.chain,
        "arm": arm,
        "longest_s": SHORT_TAKE_S if row.cold_short else None,
    }
