"""Only under an address or a known name: a foreign name that is pointed at this computer gets no page.

That is how a page on the internet would get round the browser's rule that pages of different names are strangers
(DNS rebinding). Such an attack always needs a name; an address in figures is always ours.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Collection

from starlette.requests import HTTPConnection, Request
from starlette.types import ASGIApp, Receive, Scope, Send

from spindlewright.web.refusal import refusal


class KnownHosts:
    """Refuses what is asked under another name."""

    def __init__(self, app: ASGIApp, names: Collection[str]) -> None:
        self.app = app
        self.names = frozenset(name.casefold() for name in names) | {"localhost"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        host = HTTPConnection(scope).headers.get("host", "")
        if is_known(host, self.names):
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
        else:
            answer = refusal(
                Request(scope),
                400,
                f"The address names the host {host[:80]!r}, which is not this bench. Open the page by the address "
                "that Spindlewright printed when it started.",
            )
            await answer(scope, receive, send)


def is_known(host: str, names: Collection[str]) -> bool:
    """Whether a ``Host`` header names this bench.

    >>> [is_known(host, {"localhost"}) for host in ("127.0.0.1:8000", "[::1]:8000", "localhost", "bench.example", "")]
    [True, True, True, False, False]
    """
    name = host.casefold()
    if name.startswith("["):
        name = name[1:].partition("]")[0]
    else:
        name = name.rpartition(":")[0] if name.count(":") == 1 else name
    if name in names:
        return True
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True
