"""Pages from templates: ``page(request, "jobs", jobs=…)`` shows ``templates/pages/jobs.html``."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Any, Literal

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, StreamingResponse

from spindlewright.shop.settings import ShopSettings, settings_of
from spindlewright.standards.cautions import caution, cautions_for
from spindlewright.web.filters import FILTERS
from spindlewright.web.security.form_token import FIELD, keep_token, token_of

HERE = Path(__file__).parent
STATIC = HERE / "static"
Theme = Literal["auto", "light", "dark"]
THEMES: tuple[Theme, ...] = ("auto", "light", "dark")
THEME_COOKIE = "spindlewright-theme"


@cache
def templates() -> Environment:
    """The templates with their filters. A name that is not given is an error, not an empty place."""
    environment = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.filters.update(FILTERS)
    environment.globals.update(static=static, caution=caution, cautions_for=cautions_for)
    return environment


def page(request: Request, name: str, status: int = 200, **context: Any) -> HTMLResponse:
    """``templates/pages/<name>.html``, shown with ``context``.

    Every template also has ``request``, ``theme``, ``here`` (path and query of this page), ``shop_settings`` and the
    functions ``token_field()``, ``static(name)``, ``caution(id)``, ``cautions_for(step)``.
    """
    answer = HTMLResponse(_template(name).render(_context(request, status, context)), status_code=status)
    keep_token(request, answer)
    return answer


def flowing_page(request: Request, name: str, **context: Any) -> StreamingResponse:
    """The same, sent while it is made: what stands above is shown before what takes longer below.

    What can be refused must be found out before; once the page has begun, its status is sent.
    """
    parts = _template(name).stream(_context(request, 200, context))
    parts.enable_buffering(64)
    answer = StreamingResponse((str(part) for part in parts), media_type="text/html")
    keep_token(request, answer)
    return answer


def _template(name: str) -> Template:
    return templates().get_template(f"pages/{name}.html")


def _context(request: Request, status: int, context: dict[str, Any]) -> dict[str, Any]:
    return {
        "request": request,
        "theme": theme_of(request),
        "here": _here(request),
        "shop_settings": _shop_settings(request, status),
        "token_field": lambda: _token_field(request),
        "token": token_of(request),
        **context,
    }


def theme_of(request: Request) -> Theme:
    """Light, dark, or as the system has it."""
    kept = request.cookies.get(THEME_COOKIE)
    return next((theme for theme in THEMES if theme == kept), "auto")


def static(name: str) -> str:
    """Address of a file in ``static/``; it changes with the file, so browsers may keep it for long."""
    return f"/static/{name}?v={_digest(name)}"


@cache
def _digest(name: str) -> str:
    return hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]


def _shop_settings(request: Request, status: int) -> ShopSettings:
    try:
        return settings_of(request.app.state.shop)
    except Exception:
        if status < 500:
            raise
        return ShopSettings()  # the page that tells of a failure must not fail by the same


def _token_field(request: Request) -> Markup:
    return Markup('<input type="hidden" name="{}" value="{}">').format(FIELD, token_of(request))


def _here(request: Request) -> str:
    query = request.url.query
    return request.url.path + (f"?{query}" if query else "")
