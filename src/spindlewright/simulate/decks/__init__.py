"""Specifications of simulated decks that come with the program, as TOML text."""

from __future__ import annotations

import tomllib
from importlib import resources

from spindlewright.simulate.spec import Spec


def deck_names() -> tuple[str, ...]:
    """Names of the decks that come with the program."""
    found = (entry.name for entry in resources.files(__name__).iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in found if name.endswith(".toml")))


def deck_spec(name: str) -> Spec:
    """Specification of one of them, ValueError when there is none of that name."""
    if name not in deck_names():
        raise ValueError(f"deck {name!r}: there is none of that name; there are {', '.join(deck_names())}")
    return Spec.from_dict(tomllib.loads((resources.files(__name__) / f"{name}.toml").read_text(encoding="utf-8")))
