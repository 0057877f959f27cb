"""The pages that people read: the first page, the form, and the book at the same paths as under /v1."""

from functools import cache
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from faultpath.answers.book import edition_list, edition_turtle, rule_detail, rule_list, rule_text, rule_turtle, table_detail, text_turtle
from faultpath.answers.lists import EditionList, PlaceList, PracticeList, RuleList
from faultpath.answers.places import place_detail, place_list, practice_list
from faultpath.base.problems import BadInput
from faultpath.book import cases
from faultpath.document.installation import read_document
from faultpath.http.forms import given_in, installation_in, law_in, read_form, upload_in
from faultpath.http.problems import problem_document
from faultpath.http.replies import offered, reply, wanted
from faultpath.judging.assessment import Law, assess
from faultpath.present.documents import book
from faultpath.present.documents import landing as door
from faultpath.service.example import example
from faultpath.service.findings import FindingsQuestion, findings_in
from faultpath.service.media import HTML, JSON, PDF, TURTLE
from faultpath.service.notice import NoticeQuestion, notice_in
from faultpath.service.requests import read_question

router = APIRouter(include_in_schema=False)
Key = Annotated[str, Path()]


@router.get("/")
def _home(request: Request) -> Response:
    wanted(request, HTML)
    house = read_document(example()["installation"])
    return reply(door.home_page(assess(house, Law(int(example()["edition"])))), HTML)


@router.get("/judge")
def _form(request: Request, example_asked: Annotated[str, Query(alias="example")] = "") -> Response:
    wanted(request, HTML)
    given = door.Given(_example_text(), example()["edition"]) if example_asked else door.Given()
    return reply(door.judge_page(given), HTML)


@cache
def _example_text() -> str:
    return cases.example_text(example()["house"])


@router.post("/judge")
async def _judge(request: Request) -> Response:
    given = door.Given()
    try:
        form = await read_form(request)
        given, upload, wish = given_in(form), await upload_in(form), form.get("as")
        await form.close()

        def answer() -> Response:
            law, installation = law_in(given), installation_in(given, upload)
            if wish == "notice":
                return reply(notice_in(HTML, installation, read_question(NoticeQuestion, law), on_site=True), HTML)
            media = PDF if wish == "pdf" else HTML
            return reply(findings_in(media, installation, read_question(FindingsQuestion, law), on_site=True)[0], media)

        return await run_in_threadpool(answer)
    except BadInput as bad:
        page = reply(door.judge_page(given, problem_document(bad.kind, bad.status, bad.problems)), HTML)
        page.status_code = bad.status
        return page


@router.get("/rules")
def _rules(request: Request) -> Response:
    return offered(request, {HTML: book.rules_page, JSON: lambda: RuleList(rules=rule_list())})


@router.get("/rules/{key}.ttl")
def _rule_file(key: Key) -> Response:
    return reply(rule_turtle(key), TURTLE)


@router.get("/rules/{key}")
def _rule(request: Request, key: Key) -> Response:
    return offered(request, {HTML: lambda: book.rule_page(key), JSON: lambda: rule_detail(key), TURTLE: lambda: rule_turtle(key)})


@router.get("/rules/{key}/{edition}.ttl")
def _text_file(key: Key, edition: Key) -> Response:
    return reply(text_turtle(key, edition), TURTLE)


@router.get("/rules/{key}/{edition}")
def _rule_in_edition(request: Request, key: Key, edition: Key) -> Response:
    return offered(request, {HTML: lambda: book.rule_page(key, edition), JSON: lambda: rule_text(key, edition), TURTLE: lambda: text_turtle(key, edition)})


@router.get("/editions")
def _editions(request: Request) -> Response:
    return offered(request, {HTML: book.editions_page, JSON: lambda: EditionList(editions=edition_list())})


@router.get("/editions/{edition}.ttl")
def _edition_file(edition: Key) -> Response:
    return reply(edition_turtle(edition), TURTLE)


@router.get("/places")
def _places(request: Request) -> Response:
    return offered(request, {HTML: book.places_page, JSON: lambda: PlaceList(places=place_list())})


@router.get("/places/{key}")
def _place(request: Request, key: Key) -> Response:
    return offered(request, {HTML: lambda: book.place_page(key), JSON: lambda: place_detail(key)})


@router.get("/practices")
def _practices(request: Request) -> Response:
    return offered(request, {HTML: book.practices_page, JSON: lambda: PracticeList(practices=practice_list())})


@router.get("/tables")
def _tables(request: Request) -> Response:
    return offered(request, {HTML: book.tables_page})


@router.get("/tables/{key}")
def _table(request: Request, key: Key) -> Response:
    return offered(request, {HTML: lambda: book.table_page(key), JSON: lambda: table_detail(key)})
