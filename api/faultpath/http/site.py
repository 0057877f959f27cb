"""The pages that people read: the first page, the form, and the book at the same paths as under /v1."""

from collections.abc import Callable
from functools import cache
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool

from faultpath import cases
from faultpath.answers.book import edition_list, edition_turtle, rule_detail, rule_list, rule_text, rule_turtle, table_detail, text_turtle
from faultpath.answers.places import place_detail, place_list, practice_list
from faultpath.assessment import Law, assess
from faultpath.http.description import example
from faultpath.http.formats import findings_in, notice_in
from faultpath.http.forms import given_in, installation_in, law_in, read_form, upload_in
from faultpath.http.messages import EditionList, FindingsQuestion, NoticeQuestion, PlaceList, PracticeList, RuleList, read_question
from faultpath.http.negotiation import HTML, JSON, PDF, TURTLE
from faultpath.http.problems import problem_document
from faultpath.http.routes import shown, turtle, wanted, written
from faultpath.installation import read_document
from faultpath.papers import book, door
from faultpath.problems import BadInput

router = APIRouter(include_in_schema=False)
Key = Annotated[str, Path()]


def _page(request: Request, page: Callable[[], str], answer: Callable[[], BaseModel]) -> Response:
    """The page, or the same as JSON for who asks for it."""
    return written(answer()) if wanted(request, HTML, JSON) == JSON else shown(page().encode(), HTML)


@router.get("/")
def _home(request: Request) -> Response:
    wanted(request, HTML)
    house = read_document(example()["installation"])
    return shown(door.home_page(assess(house, Law(int(example()["edition"])))).encode(), HTML)


@router.get("/judge")
def _form(request: Request, example_asked: Annotated[str, Query(alias="example")] = "") -> Response:
    wanted(request, HTML)
    given = door.Given(_example_text(), example()["edition"]) if example_asked else door.Given()
    return shown(door.judge_page(given).encode(), HTML)


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
                return shown(notice_in(HTML, installation, read_question(NoticeQuestion, law), on_site=True), HTML)
            media = PDF if wish == "pdf" else HTML
            return shown(findings_in(media, installation, read_question(FindingsQuestion, law), on_site=True)[0], media)

        return await run_in_threadpool(answer)
    except BadInput as bad:
        page = shown(door.judge_page(given, problem_document(bad.kind, bad.status, bad.problems)).encode(), HTML)
        page.status_code = bad.status
        return page


@router.get("/rules")
def _rules(request: Request) -> Response:
    return _page(request, book.rules_page, lambda: RuleList(rules=rule_list()))


@router.get("/rules/{key}.ttl")
def _rule_file(key: Key) -> Response:
    return turtle(rule_turtle(key))


@router.get("/rules/{key}")
def _rule(request: Request, key: Key) -> Response:
    if wanted(request, HTML, JSON, TURTLE) == TURTLE:
        return turtle(rule_turtle(key))
    return _page(request, lambda: book.rule_page(key), lambda: rule_detail(key))


@router.get("/rules/{key}/{edition}.ttl")
def _text_file(key: Key, edition: Key) -> Response:
    return turtle(text_turtle(key, edition))


@router.get("/rules/{key}/{edition}")
def _rule_in_edition(request: Request, key: Key, edition: Key) -> Response:
    if wanted(request, HTML, JSON, TURTLE) == TURTLE:
        return turtle(text_turtle(key, edition))
    return _page(request, lambda: book.rule_page(key, edition), lambda: rule_text(key, edition))


@router.get("/editions")
def _editions(request: Request) -> Response:
    return _page(request, book.editions_page, lambda: EditionList(editions=edition_list()))


@router.get("/editions/{edition}.ttl")
def _edition_file(edition: Key) -> Response:
    return turtle(edition_turtle(edition))


@router.get("/places")
def _places(request: Request) -> Response:
    return _page(request, book.places_page, lambda: PlaceList(places=place_list()))


@router.get("/places/{key}")
def _place(request: Request, key: Key) -> Response:
    return _page(request, lambda: book.place_page(key), lambda: place_detail(key))


@router.get("/practices")
def _practices(request: Request) -> Response:
    return _page(request, book.practices_page, lambda: PracticeList(practices=practice_list()))


@router.get("/tables")
def _tables(request: Request) -> Response:
    wanted(request, HTML)
    return shown(book.tables_page().encode(), HTML)


@router.get("/tables/{key}")
def _table(request: Request, key: Key) -> Response:
    return _page(request, lambda: book.table_page(key), lambda: table_detail(key))
