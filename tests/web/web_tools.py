"""What tests of pages share: accessibility by axe in both themes, forms with their token."""

from __future__ import annotations

import re
import time
from typing import Any


def axe_clean(page: Any) -> None:
    """No violation found by axe on the page as it stands, in light and in dark."""
    from axe_playwright_python.sync_playwright import Axe

    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page)
        told = [
            f"{scheme}: {one['id']}: {one['help']}: " + "; ".join(node["html"][:160] for node in one["nodes"][:4])
            for one in found.response["violations"]
        ]
        assert not told, "\n".join(told)
    page.emulate_media(color_scheme="light")


def token_in(html: str) -> str:
    """The form token in a page."""
    found = re.search(r'name="token" value="([^"]+)"', html)
    assert found
    return found.group(1)


def spills_sideways(page: Any) -> bool:
    """Whether the page is wider than its window."""
    return bool(page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"))


def until(page: Any, expression: str, timeout_s: float = 20.0) -> None:
    """Wait until the JavaScript ``expression`` is true. (The browser tool's own waiting needs eval in the page, which
    our content security policy forbids.)"""
    end = time.monotonic() + timeout_s
    while not page.evaluate(expression):
        assert time.monotonic() < end, f"not true after {timeout_s:g} s: {expression}"
        page.wait_for_timeout(30)
