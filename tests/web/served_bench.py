"""A shop served on a free port, for as long as a test wants it."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import uvicorn

from spindlewright.shop.store import Shop
from spindlewright.web.app import create_app
from spindlewright.web.ports import listening
from spindlewright.web.settings import WebSettings


@dataclass(frozen=True)
class Bench:
    """A served shop."""

    shop: Shop
    address: str
    app: Any

    def at(self, path: str) -> str:
        """The whole address of a page."""
        return self.address + path


@contextmanager
def served(shop: Shop, settings: WebSettings | None = None) -> Iterator[Bench]:
    """The shop served on a free port until the end."""
    app = create_app(shop, settings or WebSettings(measure=False))
    listener = listening("127.0.0.1", 0)
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", ws="none", timeout_graceful_shutdown=1))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        assert thread.is_alive()
        time.sleep(0.01)
    try:
        yield Bench(shop, f"http://127.0.0.1:{listener.getsockname()[1]}", app)
    finally:
        server.should_exit = True
        thread.join(10)
        listener.close()
