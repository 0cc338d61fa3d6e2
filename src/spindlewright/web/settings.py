"""How the pages are served: on which names, with which limits. (What the shop itself sets is ``shop/settings.py``.)"""

from __future__ import annotations

import socket
from dataclasses import dataclass

LARGEST_UPLOAD_BYTES = 2 * 1024**3
"""A side of a record at 192 kHz, 32 bit, two channels is 1.8 GB."""
LARGEST_FORM_BYTES = 1024**2
"""Anything that carries no file."""


@dataclass(frozen=True, slots=True)
class WebSettings:
    """``host_names`` are the names, besides addresses and ``localhost``, under which a browser may ask for the pages.
    ``measure`` starts the measuring of recordings in the background. ``offer_demonstration`` lets an empty shop make
    the demonstration shop beside it."""

    host_names: frozenset[str] = frozenset()
    largest_upload_bytes: int = LARGEST_UPLOAD_BYTES
    largest_form_bytes: int = LARGEST_FORM_BYTES
    measure: bool = True
    offer_demonstration: bool = True


def names_of_this_computer() -> frozenset[str]:
    """This computer's name, and the same with ``.local``: for a shop that serves its pages to other benches too."""
    name = socket.gethostname().casefold()
    return frozenset({name, f"{name.split('.')[0]}.local"})
