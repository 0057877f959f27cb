"""The service: routes, problems, description and warming put together."""

import gc
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache
from typing import Any

from fastapi import FastAPI, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

import faultpath
from faultpath.book.rules import editions
from faultpath.document.installation import read_document
from faultpath.http import book, description, ontology, operations, pages, problems, questions, site
from faultpath.judging.assessment import Law, assess
from faultpath.service.questions import REQUESTS

# Collections are rare once the book stands aside: what a request makes dies with it.
GC_THRESHOLD = (50_000, 50, 100)


class Service(FastAPI):
    """FastAPI with our description."""

    def openapi(self) -> dict[str, Any]:
        """The OpenAPI description, made once."""
        if self.openapi_schema is None:
            self.openapi_schema = description.complete(super().openapi(), REQUESTS)
        return self.openapi_schema


class PlainHeaders:
    """Answers HEAD as GET without the body, and adds the headers that keep a browser from guessing or fetching."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        head = scope["method"] == "HEAD"

        async def plain(message: Message) -> None:
            if message["type"] == "http.response.start":
                present = {name.lower() for name, _ in message["headers"]}
                added = [(b"x-content-type-options", b"nosniff"), (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'")]
                message["headers"] = [*message["headers"], *(pair for pair in added if pair[0] not in present)]
            elif message["type"] == "http.response.body" and head:
                message = {**message, "body": b""}
            await send(message)

        await self.app({**scope, "method": "GET"} if head else scope, receive, plain)


def warm() -> None:
    """Read and compile the book by assessing an empty installation under every edition, then take it out of collection."""
    empty = read_document({"id": "empty", "kind": "Installation"})
    for year in editions():
        assess(empty, Law(year))
    gc.collect()
    gc.freeze()
    gc.set_threshold(*GC_THRESHOLD)


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    warm()
    app.openapi()
    app.state.warm = True
    yield


def create_app() -> FastAPI:
    """The service as an ASGI application."""
    app = Service(
        title=description.TITLE,
        version=faultpath.__version__,
        description=description.SAYS,
        license_info={"name": "Apache-2.0", "identifier": "Apache-2.0"},
        openapi_url="/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=_lifespan,
    )
    for part in (questions, book, ontology, operations, site):
        app.include_router(part.router)
    problems.handle_problems(app)
    app.add_middleware(PlainHeaders)

    @cache
    def page() -> str:
        return pages.docs_page(app.openapi())

    @app.get("/docs", include_in_schema=False)
    def docs() -> Response:
        return Response(page(), media_type="text/html", headers={"Content-Security-Policy": pages.POLICY})

    return app
