"""The methods that change nothing."""

from __future__ import annotations

ONLY_READ = frozenset({"GET", "HEAD", "OPTIONS"})
