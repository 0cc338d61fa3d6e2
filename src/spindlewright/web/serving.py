"""Serving the bench: on this computer alone unless told otherwise; a free port when the wished one is taken."""

from __future__ import annotations

import ipaddress
import sys
import threading
import webbrowser
from collections.abc import Callable

from spindlewright.shop.store import Shop
from spindlewright.web.ports import address_of, listening

HOST = "127.0.0.1"
PORT = 8033
"""33 for the speed; nothing well known lives there."""


def serve(
    shop: Shop,
    host: str = HOST,
    port: int = PORT,
    open_browser: bool = True,
    say: Callable[[str], None] | None = None,
    browse: Callable[[str], object] = webbrowser.open,
) -> None:
    """Serve ``shop`` until Ctrl-C. When ``port`` is taken, the next free one is used and said; port 0 takes any.
    ``say`` gets each line for the person (default: standard error). Raises ShopError when nothing can be served."""
    import uvicorn

    from spindlewright.web.app import create_app
    from spindlewright.web.settings import WebSettings, names_of_this_computer

    tell = say or _print
    listener = listening(host, port)
    found = int(listener.getsockname()[1])
    address = address_of(host, found)
    if port and found != port:
        tell(f"Port {port} is taken; using {found}.")
    alone = _is_loopback(host)
    settings = WebSettings() if alone else WebSettings(host_names=names_of_this_computer() | {host.casefold()})
    server = uvicorn.Server(
        uvicorn.Config(
            create_app(shop, settings),
            log_level="warning",
            server_header=False,
            date_header=True,
            timeout_graceful_shutdown=2,
            proxy_headers=False,
            ws="none",
        )
    )
    tell(f"Spindlewright is at {address} (Ctrl-C ends it).")
    if not alone:
        tell("Every computer of this network can open and change these pages; there is no password.")
    if open_browser:
        threading.Thread(target=_browse_when_up, args=(server, address, browse), daemon=True).start()
    try:
        server.run(sockets=[listener])
    except KeyboardInterrupt:
        pass  # uvicorn passes Ctrl-C on once it has closed down
    finally:
        listener.close()
    tell("Ended. Everything that was acknowledged is kept.")


def _is_loopback(host: str) -> bool:
    if host.casefold() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _browse_when_up(server: object, address: str, browse: Callable[[str], object]) -> None:
    import time

    for _ in range(200):
        if getattr(server, "started", False):
            browse(address)
            return
        time.sleep(0.05)


def _print(line: str) -> None:
    print(line, file=sys.stderr, flush=True)
