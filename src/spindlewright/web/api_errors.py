"""How the API tells errors, for its description."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel


class Problem(BaseModel):
    """Why something was not done, and which field it is about."""

    message: str
    field: str | None = None


ERRORS: dict[int | str, dict[str, Any]] = {
    400: {"model": Problem, "description": "Not readable"},
    403: {"model": Problem, "description": "Asked by a foreign page"},
    404: {"model": Problem, "description": "There is no such thing"},
    409: {"model": Problem, "description": "Not open yet, or changed meanwhile"},
    413: {"model": Problem, "description": "Too large"},
    415: {"model": Problem, "description": "Not a form, JSON or recording"},
    422: {"model": Problem, "description": "A value that can't be taken"},
}
