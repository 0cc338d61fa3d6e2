"""The switch between light and dark paper, kept in a cookie."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form
from starlette.responses import Response

from spindlewright.web.redirects import back_to
from spindlewright.web.refused import Refused
from spindlewright.web.rendering import THEME_COOKIE, THEMES

router = APIRouter()
A_YEAR_S = 365 * 24 * 3600


@router.post("/paper")
def choose(theme: Annotated[str, Form()] = "auto", back: Annotated[str, Form()] = "/") -> Response:
    """Keep the choice, and show the same page again."""
    if theme not in THEMES:
        raise Refused(
            422, f"paper: found {theme[:40]!r}, allowed are {', '.join(THEMES)}; choose one of them.", "theme"
        )
    answer = back_to(back)
    answer.set_cookie(THEME_COOKIE, theme, max_age=A_YEAR_S, samesite="lax", httponly=True)
    return answer
