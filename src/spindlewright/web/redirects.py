"""After a change the browser goes on to a page, so that a reload does not repeat the change."""

from __future__ import annotations

from starlette.responses import RedirectResponse


def back_to(path: str, anchor: str = "") -> RedirectResponse:
    """303 to a page of ours, at its ``anchor``. A path that leads elsewhere leads to the jobs list."""
    own = path.startswith("/") and not path.startswith(("//", "/\\"))
    return RedirectResponse((path if own else "/") + (f"#{anchor}" if anchor else ""), status_code=303)
