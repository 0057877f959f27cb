"""Path to answer: the questions about sizes."""

from fastapi import APIRouter, Request, Response
from starlette.concurrency import run_in_threadpool

from faultpath.answers.law import Candidates
from faultpath.answers.sizing import SizingAnswer
from faultpath.http.bodies import media_of, read_asked, read_body
from faultpath.http.description import asks, gives
from faultpath.http.negotiation import JSON
from faultpath.http.routes import wanted, written
from faultpath.http.sizing_messages import ConductorQuestion, FormList, SizingQuestion, SizingRequest, ask_conductor, ask_sizing, form_list, is_of_a_form
from faultpath.intake import read_json

router = APIRouter(prefix="/v1")


@router.post(
    "/sizing",
    operation_id="sizing",
    summary="Which size each grounding and bonding conductor must have",
    response_model=SizingAnswer | Candidates[SizingAnswer],
    responses=gives(400, 406, 413, 415, 422, 500),
    openapi_extra=asks(SizingRequest, SizingQuestion, beside=ConductorQuestion),
    tags=["questions"],
)
async def _sizing(request: Request) -> Response:
    """Gives size, table rows and arithmetic of each conductor of a house, or of one conductor without a house by a form of GET /v1/sizing."""
    media, _ = media_of(request), wanted(request, JSON)
    data = await read_body(request)

    def answer() -> Response:
        if media == JSON and is_of_a_form(parsed := read_json(data)):
            return written(ask_conductor(parsed))
        return written(ask_sizing(*read_asked(request, data, media, SizingQuestion, SizingRequest)))

    return await run_in_threadpool(answer)


@router.get(
    "/sizing",
    operation_id="sizingForms",
    summary="The conductors that can be sized without a house",
    response_model=FormList,
    responses=gives(406, 500),
    tags=["book"],
)
def _forms(request: Request) -> Response:
    """Lists the forms with their fields."""
    wanted(request, JSON)
    return written(form_list())
