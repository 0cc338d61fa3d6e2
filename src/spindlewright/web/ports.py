"""A port to listen on, and the address that leads to it."""

from __future__ import annotations

import errno
import socket
import sys

from spindlewright.shop.errors import ShopError

MOST_TRIES = 50


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
