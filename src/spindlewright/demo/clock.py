"""The clock of the demonstration shop: its jobs came in some days ago, so its records need times of those days."""

from __future__ import annotations

import time
from datetime import datetime, timedelta


class StagedClock:
    """Runs on from the time to which it was set last, at the pace of a real clock."""

    def __init__(self, today: datetime) -> None:
        self._today = today
        self._set(today)

    def __call__(self) -> datetime:
        at, since_s = self._from
        return at + timedelta(seconds=time.monotonic() - since_s)

    def go_to(self, days_ago: int, hour: int, minute: int = 0) -> None:
        """To that time of that day."""
        day = self._today - timedelta(days=days_ago)
        self._set(day.replace(hour=hour, minute=minute, second=0, microsecond=0))

    def minutes_ago(self, minutes: float) -> None:
        """To so many minutes before now."""
        self._set(self._today - timedelta(minutes=minutes))

    def _set(self, at: datetime) -> None:
        self._from = (at, time.monotonic())
