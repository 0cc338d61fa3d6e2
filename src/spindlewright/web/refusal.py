"""What is not done: one sentence, as a page for people and as JSON for scripts."""

from __future__ import annotations

import re
from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from spindlewright.web.rendering import page

API = "/api/"


def wants_json(request: Request) -> bool:
    """Whether a script asks, not a person."""
    return request.url.path.startswith(API) or request.headers.get("accept", "").startswith("application/json")


def refusal(
    request: Request,
    status: int,
    sentence: str,
    *,
    field: str | None = None,
    typed: Mapping[str, str] | None = None,
) -> Response:
    """The answer: ``{"message", "field"}`` or a page, which shows what was ``typed`` so that nothing is lost."""
    if wants_json(request):
        return JSONResponse({"message": sentence, "field": field}, status_code=status)
    title = _TITLES.get(status, "Not done")
    job = _OF_A_JOB.match(request.url.path)
    return page(
        request,
        "refusal",
        status=status,
        title=title,
        sentence=sentence,
        typed=typed or {},
        job=job.group(1) if job and status != 404 else None,
    )


_OF_A_JOB = re.compile(r"/jobs/([0-9-]+)(?:/|$)")
_TITLES = {
    400: "Not understood",
    403: "Not done",
    404: "Not here",
    405: "Not done",
    409: "Not yet",
    413: "Too large",
    415: "Not understood",
    422: "Not taken",
    500: "Spindlewright itself failed",
}
