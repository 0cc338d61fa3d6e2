"""The demonstration shop, made from the first-run page: in a folder of its own, served at an address of its own."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

import uvicorn
from starlette.types import ASGIApp

from spindlewright.shop.errors import ShopError
from spindlewright.shop.store import Shop
from spindlewright.web.ports import address_of, listening

FAILED = "The demonstration could not be made; the program's own lines say why. Nothing of it was kept."
_log = logging.getLogger("spindlewright.web")


@dataclass(frozen=True, slots=True)
class DemonstrationState:
    """How far it is. ``words`` empty: not begun. ``address`` set: open there. ``problem``: why not."""

    share: float = 0.0
    words: str = ""
    address: str = ""
    problem: str = ""

    @property
    def is_being_made(self) -> bool:
        """Whether to look again soon."""
        return bool(self.words) and not self.address and not self.problem


class DemonstrationBench:
    """Makes the demonstration beside the folder of a shop (once; made already, it is only opened) and serves it."""

    def __init__(self, shop_folder: Path, app_of: Callable[[Shop], ASGIApp]) -> None:
        self.folder = shop_folder.absolute().with_name(f"{shop_folder.absolute().name}-demonstration")
        self.state = DemonstrationState()
        self._app_of = app_of
        self._thread: threading.Thread | None = None
        self._server: uvicorn.Server | None = None
        self._lock = threading.Lock()
        self._stopping = False

    def begin(self) -> None:
        """Begin making it, or do nothing while it is being made or open."""
        with self._lock:
            if self._thread is not None and self._thread.is_alive():
                return
            self.state = DemonstrationState(words="beginning")
            self._thread = threading.Thread(target=self._work, daemon=True)
            self._thread.start()

    def stop(self) -> None:
        """Close it; what is half made is thrown away by itself."""
        self._stopping = True
        if self._server is not None:
            self._server.should_exit = True
            if self._thread is not None:
                self._thread.join(10.0)

    def _work(self) -> None:
        from spindlewright.demo.shop import make_demo

        try:
            make_demo(self.folder, self._told)
            with Shop.open(self.folder) as shop, closing(listening("127.0.0.1", 0)) as listener:
                self._server = uvicorn.Server(
                    uvicorn.Config(self._app_of(shop), log_level="warning", server_header=False, ws="none")
                )
                self.state = replace(self.state, share=1.0, address=address_of("127.0.0.1", listener.getsockname()[1]))
                if not self._stopping:
                    self._server.run(sockets=[listener])
        except ShopError as problem:
            self.state = DemonstrationState(problem=str(problem))
        except Exception:
            _log.exception("the demonstration failed")
            self.state = DemonstrationState(problem=FAILED)

    def _told(self, share: float, words: str) -> None:
        self.state = DemonstrationState(share, words)
