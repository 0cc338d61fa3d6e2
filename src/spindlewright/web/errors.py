"""Every error becomes one clear sentence: the shop's own, the framework's, and the program's."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from spindlewright.shop.errors import ChangedMeanwhile, NotAccepted, NotFound, NotOpenYet, ShopError
from spindlewright.web.refusal import refusal
from spindlewright.web.refused import Refused
from spindlewright.web.security.form_token import FIELD

STATUS: tuple[tuple[type[ShopError], int], ...] = (
    (NotFound, 404),
    (NotOpenYet, 409),
    (ChangedMeanwhile, 409),
    (NotAccepted, 422),
    (ShopError, 409),
)
NO_SUCH_PAGE = "There is no such page. The jobs list has every job."
FAILED = (
    "Spindlewright itself failed; what was kept before is safe. Try again; if it comes back, please report it with "
    "the lines that the program printed."
)

_log = logging.getLogger("spindlewright.web")


def tell_errors(app: FastAPI) -> None:
    """Let ``app`` answer every error with its sentence."""
    handlers: dict[type[Exception], Callable[[Request, Any], Response]] = {
        ShopError: _of_the_shop,
        Refused: _refused,
        HTTPException: _of_http,
        RequestValidationError: _not_understood,
    }
    for kind, handler in handlers.items():
        app.add_exception_handler(kind, handler)


def status_of(problem: ShopError) -> int:
    """The status for one of the shop's errors."""
    return next(status for kind, status in STATUS if isinstance(problem, kind))


def _of_the_shop(request: Request, problem: ShopError) -> Response:
    field = getattr(problem, "field", None)
    return refusal(request, status_of(problem), str(problem), field=field, typed=_typed(request))


def _refused(request: Request, problem: Refused) -> Response:
    return refusal(request, problem.status, problem.sentence, field=problem.field, typed=_typed(request))


def _of_http(request: Request, problem: HTTPException) -> Response:
    sentence = {
        400: "What was sent could not be read; go back and send it again.",
        404: NO_SUCH_PAGE,
        405: f"{request.method} is not possible here. Open the page in the browser instead.",
    }.get(problem.status_code, str(problem.detail))
    answer = refusal(request, problem.status_code, sentence)
    for name, value in (problem.headers or {}).items():
        answer.headers[name] = value
    return answer


def _not_understood(request: Request, problem: RequestValidationError) -> Response:
    first = problem.errors()[0]
    field = ".".join(str(part) for part in first.get("loc", ()) if part not in ("body", "query", "path", "header"))
    if first.get("type") == "json_invalid":
        return refusal(request, 400, "The body is not JSON; send one JSON object.")
    words = str(first.get("msg", "not understood"))
    sentence = f"{field or 'what was sent'}: {words[:1].lower()}{words[1:]}; correct it and send it again."
    return refusal(request, 422, sentence, field=field or None, typed=_typed(request))


def _typed(request: Request) -> dict[str, str]:
    """What a form held, so that it can be shown again."""
    form = getattr(request.state, "typed", None)
    if not isinstance(form, FormData):
        return {}
    return {
        name: value
        for name, value in form.multi_items()
        if isinstance(value, str) and value.strip() and name not in (FIELD, "version")
    }


class FailuresTold:
    """The innermost guard: whatever fails inside is logged with its traceback, and shown without it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun = False

        async def noted_send(message: Any) -> None:
            nonlocal begun
            begun = begun or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, noted_send)
        except Exception as problem:
            request = Request(scope)
            if begun:
                raise
            if isinstance(problem, Refused):
                answer = _refused(request, problem)
            else:
                _log.exception("%s %s failed", scope["method"], scope["path"])
                answer = refusal(request, 500, FAILED, typed=_typed(request))
            await answer(scope, receive, send)
