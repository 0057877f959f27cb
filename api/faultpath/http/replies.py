"""What goes out: the format that the client likes best, and the headers that belong to it."""

from collections.abc import Callable, Mapping

from fastapi import Request, Response
from pydantic import BaseModel

from faultpath.http.negotiation import choose
from faultpath.present.documents.paper import policy
from faultpath.service.media import HTML


def wanted(request: Request, *offers: str) -> str:
    """The format to answer in. Raises BadInput (406)."""
    return choose(", ".join(request.headers.getlist("accept")) or None, offers)


def offered(request: Request, formats: Mapping[str, Callable[[], BaseModel | str]]) -> Response:
    """The answer in the format that is wanted, made in that one only. Raises BadInput (406)."""
    media = wanted(request, *formats)
    return reply(formats[media](), media)


def reply(answer: BaseModel | str | bytes, media: str) -> Response:
    """An answer in a format; a page with the policy that keeps it from running or fetching anything."""
    body = answer.model_dump_json() if isinstance(answer, BaseModel) else answer
    return Response(body, media_type=media, headers={"Vary": "Accept"} | ({"Content-Security-Policy": policy()} if media == HTML else {}))
