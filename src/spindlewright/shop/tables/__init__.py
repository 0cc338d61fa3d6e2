"""The tables, one module for each group; ``everything`` names them all so that the metadata is complete."""

from __future__ import annotations

from spindlewright.shop.tables import base, decks, jobs, recordings, settings, work

everything = (base, decks, jobs, recordings, settings, work)
