"""Serving: the wished port or the next free one, said aloud; ended by Ctrl-C without a trace."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from spindlewright.shop.errors import ShopError
from spindlewright.web.ports import address_of, listening

PROGRAM = """
import sys
from spindlewright.shop.store import Shop
from spindlewright.web.serving import serve
with Shop.open(sys.argv[1]) as shop:
    serve(shop, port=int(sys.argv[2]), open_browser=True, browse=lambda address: print("browse", address, flush=True))
"""


def test_a_taken_port_gives_the_next_free_one() -> None:
    with listening("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        with listening("127.0.0.1", port) as other:
            assert port < other.getsockname()[1] < port + 50


@pytest.mark.parametrize(
    ("host", "port", "words"),
    [("127.0.0.1", 70_000, "no such port"), ("no.such.host.invalid", 8033, "host: found 'no.such.host.invalid'")],
)
def test_what_can_t_be_listened_on_is_told(host: str, port: int, words: str) -> None:
    with pytest.raises(ShopError, match=words):
        listening(host, port)


def test_the_address_can_be_typed() -> None:
    assert address_of("localhost", 80) == "http://localhost:80/"
    assert address_of("::", 80) == "http://[::1]:80/"


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is sent by signal")
def test_it_serves_says_which_port_opens_the_browser_and_ends_cleanly(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, str(tmp_path), str(port)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            assert process.stdout
            browsed = process.stdout.readline()
            found = re.fullmatch(r"browse (http://127\.0\.0\.1:(\d+)/)\n", browsed)
            assert found, (browsed, process.stderr)
            assert int(found.group(2)) > port
            with urllib.request.urlopen(found.group(1) + "cautions", timeout=20) as answer:
                assert answer.status == 200
            begin = time.monotonic()
            process.send_signal(signal.SIGINT)
            _, told = process.communicate(timeout=30)
        finally:
            process.kill()
            process.wait()
    assert f"Port {port} is taken; using {found.group(2)}." in told
    assert "Ctrl-C ends it" in told
    assert "Traceback" not in told
    assert process.returncode == 0
    assert time.monotonic() - begin < 20
