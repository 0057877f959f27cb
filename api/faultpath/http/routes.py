"""Path to answer: the questions that are asked of an installation, and the book."""

import json
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request, Response
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool

from faultpath.answers.book import (
    EditionSummary,
    RuleDetail,
    RuleText,
    TableDetail,
    edition_detail,
    edition_list,
    edition_turtle,
    rule_detail,
    rule_list,
    rule_text,
    rule_turtle,
    table_detail,
    text_turtle,
)
from faultpath.answers.editions import ComparisonAnswer
from faultpath.answers.fault_loop import FaultLoopAnswer
from faultpath.answers.findings import FindingsAnswer
from faultpath.answers.law import Candidates
from faultpath.answers.notice import NoticeAnswer
from faultpath.answers.open_neutral import OpenNeutralAnswer
from faultpath.answers.origin import OriginAnswer
from faultpath.answers.places import PlaceDetail, place_detail, place_list, practice_list
from faultpath.http.asking import ask_comparison, ask_fault_loop, ask_findings, ask_notice, ask_open_neutral, ask_origin, settled
from faultpath.http.bodies import media_of, read_asked, read_body
from faultpath.http.description import asks, described, gives, media_content
from faultpath.http.formats import findings_in, notice_in
from faultpath.http.messages import (
    ComparisonQuestion,
    ComparisonRequest,
    EditionList,
    FaultLoopQuestion,
    FaultLoopRequest,
    FindingsQuestion,
    FindingsRequest,
    NoticeQuestion,
    NoticeRequest,
    OpenNeutralQuestion,
    OpenNeutralRequest,
    OriginQuestion,
    OriginRequest,
    PlaceList,
    PracticeList,
    RuleList,
    compared,
    year_of,
)
from faultpath.http.negotiation import FINDINGS_MEDIA, HTML, JSON, NOTICE_MEDIA, SVG, TURTLE, choose
from faultpath.models import installation_schema
from faultpath.papers.paper import policy
from faultpath.plots import plot_fault_loop, plot_open_neutral
from faultpath.terms import BASE

router = APIRouter(prefix="/v1")
SCHEMA_MEDIA = "application/schema+json"
SCHEMA_IRI = BASE + "v1/schema/installation"
Key = Annotated[str, Path(description="Key in the book.")]
ComparedEdition = Annotated[str | None, Query(description="One of two editions whose texts are compared, as sets of conditions.")]
EditionKey = Annotated[str, Path(description="Edition, a key of GET /v1/editions.")]


def wanted(request: Request, *offers: str) -> str:
    """The format to answer in. Raises BadInput (406)."""
    return choose(", ".join(request.headers.getlist("accept")) or None, offers)


def written(model: BaseModel) -> Response:
    """An answer in JSON."""
    return Response(model.model_dump_json(), media_type=JSON, headers={"Vary": "Accept"})


def picture(text: str) -> Response:
    """A picture in SVG."""
    return Response(text, media_type=SVG, headers={"Vary": "Accept"})


def turtle(text: str) -> Response:
    """A part of the book in Turtle."""
    return Response(text, media_type=TURTLE, headers={"Vary": "Accept"})


def shown(body: bytes, media: str) -> Response:
    """An answer in another format; a page with the policy that keeps it from running or fetching anything."""
    return Response(body, media_type=media, headers={"Vary": "Accept"} | ({"Content-Security-Policy": policy()} if media == HTML else {}))


@router.post(
    "/findings",
    operation_id="findings",
    summary="What holds, what fails, what cannot be decided, and why",
    response_model=FindingsAnswer | Candidates[FindingsAnswer],
    responses=gives(400, 406, 413, 415, 422, 500, other_media=FINDINGS_MEDIA[1:]),
    openapi_extra=asks(FindingsRequest, FindingsQuestion),
    tags=["questions"],
)
async def _findings(request: Request) -> Response:
    """Judges every rule in force on every part it is about. 200 for any judged installation, whatever the outcome."""
    media, accepted = media_of(request), wanted(request, *FINDINGS_MEDIA)
    data = await read_body(request)

    def answer() -> Response:
        installation, question = read_asked(request, data, media, FindingsQuestion, FindingsRequest)
        if accepted == JSON:
            return written(ask_findings(installation, question))
        return shown(findings_in(accepted, installation, question)[0], accepted)

    return await run_in_threadpool(answer)


@router.post(
    "/correction-notice",
    operation_id="correctionNotice",
    summary="A correction notice in draft",
    response_model=NoticeAnswer | Candidates[NoticeAnswer],
    responses=gives(400, 406, 413, 415, 422, 500, other_media=NOTICE_MEDIA[1:]),
    openapi_extra=asks(NoticeRequest, NoticeQuestion),
    tags=["questions"],
)
async def _correction_notice(request: Request) -> Response:
    """Drafts an item for each finding that fails and a question for each that cannot be decided; who inspects completes and signs it."""
    media, accepted = media_of(request), wanted(request, *NOTICE_MEDIA)
    data = await read_body(request)

    def answer() -> Response:
        installation, question = read_asked(request, data, media, NoticeQuestion, NoticeRequest)
        return written(ask_notice(installation, question)) if accepted == JSON else shown(notice_in(accepted, installation, question), accepted)

    return await run_in_threadpool(answer)


@router.post(
    "/origin",
    operation_id="origin",
    summary="The supply path of equipment, named from the source on",
    response_model=OriginAnswer | Candidates[OriginAnswer],
    responses=gives(400, 406, 413, 415, 422, 500),
    openapi_extra=asks(OriginRequest, OriginQuestion),
    tags=["questions"],
)
async def _origin(request: Request) -> Response:
    """Names source, service conductors, service equipment, feeder and branch circuit, and says what decided each."""
    media, _ = media_of(request), wanted(request, JSON)
    data = await read_body(request)
    return await run_in_threadpool(lambda: written(ask_origin(*read_asked(request, data, media, OriginQuestion, OriginRequest))))


@router.post(
    "/fault-loop",
    operation_id="faultLoop",
    summary="Which way the current returns when a leg touches a frame, and when the device opens",
    response_model=FaultLoopAnswer | Candidates[FaultLoopAnswer],
    responses=gives(400, 406, 413, 415, 422, 500, other_media=[SVG]),
    openapi_extra=asks(FaultLoopRequest, FaultLoopQuestion),
    tags=["questions"],
)
async def _fault_loop(request: Request) -> Response:
    """Works out path, current, opening time and touch voltage of each frame as ranges, or names the facts that are needed; in SVG by length."""
    media, accepted = media_of(request), wanted(request, JSON, SVG)
    data = await read_body(request)

    def answer() -> Response:
        installation, question = read_asked(request, data, media, FaultLoopQuestion, FaultLoopRequest)
        if accepted == JSON:
            return written(ask_fault_loop(installation, question))
        return picture(plot_fault_loop(settled(ask_fault_loop(installation, question.model_copy(update={"by_length": True})))))

    return await run_in_threadpool(answer)


@router.post(
    "/open-neutral",
    operation_id="openNeutral",
    summary="What legs and frames stand at when the neutral opens, and where its current divides already",
    response_model=OpenNeutralAnswer | Candidates[OpenNeutralAnswer],
    responses=gives(400, 406, 413, 415, 422, 500, other_media=[SVG]),
    openapi_extra=asks(OpenNeutralRequest, OpenNeutralQuestion),
    tags=["questions"],
)
async def _open_neutral(request: Request) -> Response:
    """Works out voltages behind each break as ranges, or names the loads that are needed; in SVG by the split of the loads."""
    media, accepted = media_of(request), wanted(request, JSON, SVG)
    data = await read_body(request)

    def answer() -> Response:
        found = ask_open_neutral(*read_asked(request, data, media, OpenNeutralQuestion, OpenNeutralRequest))
        return written(found) if accepted == JSON else picture(plot_open_neutral(settled(found)))

    return await run_in_threadpool(answer)


@router.post(
    "/editions/comparison",
    operation_id="compareEditions",
    summary="One installation under several editions",
    response_model=ComparisonAnswer,
    responses=gives(400, 406, 413, 415, 422, 500),
    openapi_extra=asks(ComparisonRequest, ComparisonQuestion),
    tags=["questions"],
)
async def _comparison(request: Request) -> Response:
    """Gives the outcome per rule, part and edition, and what the text changed from one edition to the next."""
    media, _ = media_of(request), wanted(request, JSON)
    data = await read_body(request)
    return await run_in_threadpool(lambda: written(ask_comparison(*read_asked(request, data, media, ComparisonQuestion, ComparisonRequest))))


@router.get("/rules", operation_id="rules", summary="The rules of the book", response_model=RuleList, responses=gives(406, 500), tags=["book"])
def _rules(request: Request) -> Response:
    """Lists every rule in the order of the chapters."""
    wanted(request, JSON)
    return written(RuleList(rules=rule_list()))


@router.get(
    "/rules/{key}",
    operation_id="rule",
    summary="A rule with its history",
    response_model=RuleDetail,
    responses=gives(404, 406, 500, other_media=[TURTLE]),
    tags=["book"],
)
def _rule(request: Request, key: Key, earlier: ComparedEdition = None, later: ComparedEdition = None) -> Response:
    """Says what the rule requires and why, where each edition prints it, what cures it, and how well it was checked."""
    media = wanted(request, JSON, TURTLE)
    between = compared(earlier, later)
    return written(rule_detail(key, between)) if media == JSON else turtle(rule_turtle(key))


@router.get(
    "/rules/{key}/{edition}",
    operation_id="ruleInEdition",
    summary="The conditions of a rule in an edition",
    response_model=RuleText,
    responses=gives(404, 406, 500, other_media=[TURTLE]),
    tags=["book"],
)
def _rule_in_edition(request: Request, key: Key, edition: EditionKey) -> Response:
    """Gives the conditions in force; 404 where nobody checked the edition."""
    media = wanted(request, JSON, TURTLE)
    rule_detail(key)
    year = str(year_of(edition, "", kind="not-found", status=404))
    return written(rule_text(key, year)) if media == JSON else turtle(text_turtle(key, year))


@router.get(
    "/editions", operation_id="editions", summary="The editions that the book knows", response_model=EditionList, responses=gives(406, 500), tags=["book"]
)
def _editions(request: Request) -> Response:
    """Lists every edition with the rules that answer for it and those that nobody checked."""
    wanted(request, JSON)
    return written(EditionList(editions=edition_list()))


@router.get(
    "/editions/{edition}",
    operation_id="edition",
    summary="An edition, and in Turtle its shapes in force",
    response_model=EditionSummary,
    responses=gives(404, 406, 500, other_media=[TURTLE]),
    tags=["book"],
)
def _edition(request: Request, edition: EditionKey) -> Response:
    """Gives the rules that answer for the edition; in Turtle the SHACL Core shapes that any engine can run."""
    return written(edition_detail(edition)) if wanted(request, JSON, TURTLE) == JSON else turtle(edition_turtle(edition))


@router.get("/places", operation_id="places", summary="The places of the book", response_model=PlaceList, responses=gives(406, 500), tags=["book"])
def _places(request: Request) -> Response:
    """Lists the places whose adoptions are in the book, as dated data to be checked again before relying on it."""
    wanted(request, JSON)
    return written(PlaceList(places=place_list()))


@router.get(
    "/places/{key}",
    operation_id="place",
    summary="A place with its adoptions and amendments",
    response_model=PlaceDetail,
    responses=gives(404, 406, 500),
    tags=["book"],
)
def _place(request: Request, key: Key) -> Response:
    """Says which editions the place is known to have in force from when, and what it made of rules."""
    wanted(request, JSON)
    return written(place_detail(key))


@router.get("/practices", operation_id="practices", summary="The named practices", response_model=PracticeList, responses=gives(406, 500), tags=["book"])
def _practices(request: Request) -> Response:
    """Lists the readings of contested rules that a request can choose instead of the strict ones."""
    wanted(request, JSON)
    return written(PracticeList(practices=practice_list()))


@router.get("/tables/{key}", operation_id="table", summary="A printed table", response_model=TableDetail, responses=gives(404, 406, 500), tags=["book"])
def _table(request: Request, key: Key) -> Response:
    """Gives the rows in force from each edition that changed them."""
    wanted(request, JSON)
    return written(table_detail(key))


@router.get(
    "/schema/installation",
    operation_id="installationSchema",
    summary="JSON Schema of an installation document",
    response_class=Response,
    responses=gives(406, 500) | {200: {"content": media_content(SCHEMA_MEDIA, {"type": "object"}), "description": "The schema."}},
    tags=["book"],
)
def _installation_schema(request: Request) -> Response:
    """Describes every key of an installation document; made from the ontology."""
    media = wanted(request, SCHEMA_MEDIA, JSON)
    return Response(json.dumps(schema_document()), media_type=media, headers={"Vary": "Accept"})


def schema_document() -> dict[str, Any]:
    """The published JSON Schema of an installation document."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": SCHEMA_IRI, **described(installation_schema())}
