"""Serving the bench: on this computer alone unless told otherwise; a free port when the wished one is taken."""

from __future__ import annotations

import errno
import ipaddress
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable

from spindlewright.shop.errors import ShopError
from spindlewright.shop.store import Shop

HOST = "127.0.0.1"
PORT = 8033
"""33 for the speed; nothing well known lives there."""
MOST_TRIES = 50


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


def listening(host: str, port: int) -> socket.socket:
    """A socket that listens on ``port``, or on the next free one. Raises ShopError with one sentence."""
    try:
        family, *_, where = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[0]
    except OSError:
        raise ShopError(
            f"host: found {host!r}, which is no address of this computer; use 127.0.0.1 for this computer alone, "
            "or 0.0.0.0 for the whole network."
        ) from None
    for trial in range(port, port + (MOST_TRIES if port else 1)):
        listener = socket.socket(family, socket.SOCK_STREAM)
        if sys.platform != "win32":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((where[0], trial))
            listener.listen(128)
        except (OSError, OverflowError) as problem:
            listener.close()
            if isinstance(problem, OSError) and problem.errno == errno.EADDRINUSE:
                continue
            reason = problem.strerror if isinstance(problem, OSError) else "no such port"
            raise ShopError(
                f"Port {trial} of {host} can't be used: {reason}. Name another with --port (1024 to 65535)."
            ) from None
        return listener
    raise ShopError(f"Ports {port} to {port + MOST_TRIES - 1} are all taken. Name another with --port.")


def address_of(host: str, port: int) -> str:
    """What to type into the browser on this computer.

    >>> address_of("0.0.0.0", 8033), address_of("::1", 80)
    ('http://127.0.0.1:8033/', 'http://[::1]:80/')
    """
    name = {"0.0.0.0": "127.0.0.1", "::": "[::1]", "": "127.0.0.1"}.get(host, host)
    return f"http://{f'[{name}]' if ':' in name and not name.startswith('[') else name}:{port}/"


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
