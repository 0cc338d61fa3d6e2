"""``spindlewright serve``: the bench in a browser."""

from __future__ import annotations

import sys
import webbrowser
from typing import Annotated

from cyclopts import Parameter

from spindlewright.cli.options import DataFolder, Json
from spindlewright.cli.shop_access import json_line, opened_shop
from spindlewright.cli.trouble import WrongUseError

LARGEST_PORT = 65535


def serve(
    *,
    port: Annotated[
        int | None, Parameter(help="Port to listen on (default: 8033, or the next free one; 0: any).")
    ] = None,
    host: Annotated[
        str,
        Parameter(help="Address to listen on (default: this computer alone; 0.0.0.0: every computer of the network)."),
    ] = "127.0.0.1",
    no_browser: Annotated[bool, Parameter(help="Do not open the browser, only say the address.")] = False,
    json: Json = False,
    data: DataFolder = None,
) -> int:
    """The bench in a browser, on this computer: job cards, recordings, readings, sheets. Ctrl-C ends it."""
    if port is not None and not 0 <= port <= LARGEST_PORT:
        raise WrongUseError(f"--port: found {port}, allowed is 0 to {LARGEST_PORT}; leave it out for the usual one.")
    from spindlewright.web.serving import PORT, serve

    def ready(address: str) -> None:
        if json:
            sys.stdout.write(json_line({"address": address, "data": str(shop.folder)}))
            sys.stdout.flush()
        if not no_browser:
            webbrowser.open(address)

    with opened_shop(data) as shop:
        serve(shop, host, PORT if port is None else port, open_browser=json or not no_browser, browse=ready)
    return 0
