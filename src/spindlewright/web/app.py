"""The bench as a web application: one shop, its pages, its API."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import Depends, FastAPI
from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from spindlewright.shop.engine_version import engine_version
from spindlewright.shop.measuring import MeasuringQueue
from spindlewright.shop.store import Shop
from spindlewright.shop.watched_folder import FolderWatcher
from spindlewright.web.demonstration import DemonstrationBench
from spindlewright.web.errors import FailuresTold, tell_errors
from spindlewright.web.register import routers
from spindlewright.web.rendering import STATIC
from spindlewright.web.security.body_size import BodySize
from spindlewright.web.security.form_token import form_token_checked
from spindlewright.web.security.headers import SecurityHeaders
from spindlewright.web.security.hosts import KnownHosts
from spindlewright.web.security.origins import OwnPagesOnly
from spindlewright.web.settings import WebSettings


def create_app(shop: Shop, settings: WebSettings | None = None) -> FastAPI:
    """The application over an opened shop. It does not close the shop; while it runs, recordings are measured."""
    settings = settings or WebSettings()
    queue = MeasuringQueue(shop)
    watcher = FolderWatcher(shop, on_taken=lambda _: queue.wake())
    alone = WebSettings(measure=settings.measure, offer_demonstration=False)
    demonstration = DemonstrationBench(shop.folder, lambda other: create_app(other, alone))

    @asynccontextmanager
    async def measuring(_: FastAPI) -> AsyncIterator[None]:
        if settings.measure:
            queue.start()
            watcher.start()
        try:
            yield
        finally:
            watcher.stop()
            queue.stop()
            demonstration.stop()

    app = FastAPI(
        title="Spindlewright",
        version=engine_version(),
        description="The service bench for record decks: what scripts may ask. Pages are for people.",
        docs_url=None,
        redoc_url=None,
        lifespan=measuring,
        dependencies=[Depends(form_token_checked)],
    )
    app.state.shop, app.state.queue, app.state.watcher, app.state.settings = shop, queue, watcher, settings
    app.state.demonstration = demonstration if settings.offer_demonstration else None
    tell_errors(app)
    for router in routers():
        app.include_router(router)
    app.mount("/static", KeptFiles(directory=STATIC), name="static")
    # the last one added is the first to see a request
    app.add_middleware(FailuresTold)
    app.add_middleware(BodySize, form_bytes=settings.largest_form_bytes, with_file_bytes=settings.largest_upload_bytes)
    app.add_middleware(OwnPagesOnly)
    app.add_middleware(KnownHosts, names=settings.host_names)
    app.add_middleware(SecurityHeaders)
    return app


class KeptFiles(StaticFiles):
    """Files whose address changes with them, so a browser need not ask again."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        answer = await super().get_response(path, scope)
        if answer.status_code == 200 and b"v=" in scope.get("query_string", b""):
            answer.headers["Cache-Control"] = "public, max-age=31536000, immutable"
        return answer
