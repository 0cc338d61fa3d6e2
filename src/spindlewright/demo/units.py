"""The simulated units and their test disc, as files beside this module."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from importlib import resources

from spindlewright.bands.layout import Layout, layout_from_toml
from spindlewright.simulate.spec import Spec

TEST_DISC = "listening-room"
"""Name of the library's own test disc."""
SEED_STEP, DISC_TURNED_BY_DEG = 7, 97.0


def unit_spec(name: str, take: int = 1) -> Spec:
    """The deck in ``decks/NAME.toml``, playing the test disc for the ``take``-th time.

    From take to take the noise is another and the disc was put on at another angle; the deck stays as it is.
    """
    text = (resources.files(__name__.rpartition(".")[0]) / "decks" / f"{name}.toml").read_text(encoding="utf-8")
    spec = Spec.from_dict(tomllib.loads(text))
    again = take - 1
    turned_deg = spec.disc.eccentricity_phase_deg + DISC_TURNED_BY_DEG * again
    return replace(
        spec,
        seed=spec.seed + SEED_STEP * again,
        disc=replace(spec.disc, eccentricity_phase_deg=turned_deg % 360.0),
    )


def disc_toml() -> str:
    """The layout of the test disc, as this shop would keep it."""
    place = resources.files(__name__.rpartition(".")[0]) / "discs" / f"{TEST_DISC}.toml"
    return place.read_text(encoding="utf-8")


def disc_layout() -> Layout:
    """The layout of the test disc."""
    return layout_from_toml(disc_toml(), TEST_DISC)
