"""The pages of the service: every page of the book renders with its headings, the form reads what a browser sends, problems are pages there."""

import io
import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser

import httpx
import pypdf
import pytest

from faultpath.answers.book import edition_list, rule_detail, table_list
from faultpath.answers.places import place_list
from faultpath.book.rules import rules
from faultpath.document.intake import MOST_BYTES
from faultpath.present.documents.paper import policy
from serving import EDITION, HOUSE_FILE, house, running

BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}
RULE_HEADINGS = ["Requirement", "Applies to", "Conditions", "Exceptions", "By edition", "Amended in", "Worked cases", "Remedies", "Sources", "Standing"]
PAGES = ["/", "/judge", "/judge?example=yes", "/rules", "/editions", "/places", "/practices", "/tables"]
PAGES += [f"/places/{place.key}" for place in place_list()] + [f"/tables/{key}" for key in table_list()]
VOID = {"meta", "input", "br", "link", "hr", "img"}


@pytest.fixture(scope="module")
def client() -> Iterator[httpx.Client]:
    with running() as found:
        found.headers.update(BROWSER)
        yield found


class Balance(HTMLParser):
    """The text of each heading, every id and every link; what is opened must be closed in order."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        if said.get("id"):
            self.ids.append(str(said["id"]))
        if tag == "a":
            self.links.append(str(said.get("href")))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def read(html: str) -> Balance:
    found = Balance()
    found.feed(html)
    assert found.open == []
    assert len(set(found.ids)) == len(found.ids)
    return found


def get(client: httpx.Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, path
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["content-security-policy"] == policy()
    assert answer.headers["vary"] == "Accept"
    assert answer.text.count("<h1") == 1
    assert "<script" not in answer.text
    return answer.text


@pytest.mark.parametrize("path", PAGES)
def test_every_page_renders(client: httpx.Client, path: str) -> None:
    read(get(client, path))


@pytest.mark.parametrize("key", list(rules()))
def test_every_rule_has_its_headings_in_order_in_every_edition(client: httpx.Client, key: str) -> None:
    for path in (f"/rules/{key}", *(f"/rules/{key}/{one.edition}" for one in rule_detail(key).citations)):
        html = get(client, path)
        read(html)
        assert re.findall(r"<h2[^>]*>([^<]*)</h2>", html) == RULE_HEADINGS, path


def test_every_link_within_the_service_leads_somewhere(client: httpx.Client) -> None:
    seen: set[str] = set()
    for path in [*PAGES, *(f"/rules/{key}" for key in rules())]:
        found = read(get(client, path))
        for link in found.links:
            if link.startswith("#"):
                assert link[1:] in found.ids, (path, link)
            elif link.startswith("/"):
                seen.add(link.partition("#")[0])
    for link in sorted(seen):
        assert client.get(link, headers={"Accept": "*/*"}).status_code == 200, link


def test_a_program_gets_the_same_as_data_at_the_same_path(client: httpx.Client) -> None:
    key = next(iter(rules()))
    for path in (f"/rules/{key}", "/rules", "/editions", "/places", "/practices"):
        asked = client.get(path, headers={"Accept": "application/json"})
        assert asked.json() == client.get("/v1" + path, headers={"Accept": "application/json"}).json()
    assert client.get(f"/rules/{key}", headers={"Accept": "text/turtle"}).text == client.get(f"/rules/{key}.ttl").text
    for edition in edition_list():
        assert "sh:NodeShape" in client.get(f"/editions/{edition.edition}.ttl").text


def test_the_first_page_judges_the_example(client: httpx.Client) -> None:
    html = get(client, "/")
    assert "5 fail, and 10 cannot be decided until more is known." in html
    assert html.count('<svg class="tag"') + html.count('class="tag"') >= 5
    assert 'href="/docs"' in html


# The form


def ask(client: httpx.Client, **fields: str | list[str]) -> httpx.Response:
    return client.post("/judge", data=fields)


def test_a_pasted_installation_is_judged_and_told_as_a_page(client: httpx.Client) -> None:
    answer = ask(client, installation=HOUSE_FILE.read_text(), edition=EDITION)
    assert answer.status_code == 200
    assert answer.headers["content-security-policy"] == policy()
    assert "5 fail, and 10 cannot be decided until more is known." in answer.text
    read(answer.text)


@pytest.mark.parametrize("name", ["house.json", "house", "HOUSE.JSON"])
def test_an_uploaded_file_is_read_instead(client: httpx.Client, name: str) -> None:
    answer = client.post("/judge", data={"edition": EDITION, "installation": "nonsense"}, files={"file": (name, HOUSE_FILE.read_bytes())})
    assert answer.status_code == 200, answer.text
    assert "What fails" in answer.text


def test_a_browser_that_sends_an_empty_file_field_means_the_text(client: httpx.Client) -> None:
    answer = client.post("/judge", data={"edition": EDITION, "installation": HOUSE_FILE.read_text()}, files={"file": ("", b"")})
    assert answer.status_code == 200


def test_turtle_can_be_pasted(client: httpx.Client) -> None:
    from pyoxigraph import RdfFormat

    from faultpath.base.triples import serialize
    from faultpath.document.installation import read_document

    answer = ask(client, installation=serialize(read_document(house()).graph, RdfFormat.TURTLE), edition=EDITION)
    assert "5 fail" in answer.text


def test_a_place_and_a_date_choose_the_edition(client: httpx.Client) -> None:
    answer = ask(client, installation=HOUSE_FILE.read_text(), place="us-ma", date="2024-01-15", edition="")
    assert "Massachusetts" in answer.text
    assert "<dd>2023</dd>" in answer.text


def test_the_form_gives_pdf_and_a_notice_too(client: httpx.Client) -> None:
    text = HOUSE_FILE.read_text()
    paper = ask(client, installation=text, edition=EDITION, **{"as": "pdf"})
    assert paper.headers["content-type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF-1.7")
    notice = ask(client, installation=text, edition=EDITION, **{"as": "notice"})
    assert "<h1>Correction notice</h1>" in notice.text


@pytest.mark.parametrize(("fields", "status", "told"), [
    ({"installation": ""}, 422, "No installation was given."),
    ({"installation": "{", "edition": EDITION}, 400, "The text is not JSON"),
    ({"installation": "<a> <b>", "edition": EDITION}, 400, "The text is not text/turtle"),
    ({"installation": "[" * 100, "edition": EDITION}, 400, "nests deeper than"),
    ({"installation": json.dumps({**house(), "equipmnt": []}), "edition": EDITION}, 422, "/equipmnt"),
    ({"installation": json.dumps(house())}, 422, "Nothing says which edition to judge by."),
    ({"installation": json.dumps(house()), "edition": "2021"}, 422, "is not an edition of the book"),
    ({"installation": json.dumps(house()), "place": "us-ma", "date": "soon"}, 422, "/date"),
    ({"installation": " " * (MOST_BYTES + 1) + json.dumps(house()) + "x" * (MOST_BYTES + 1), "edition": EDITION}, 413, "Expected at most"),
])  # fmt: skip
def test_what_cannot_be_judged_is_told_beside_the_form(client: httpx.Client, fields: dict[str, str], status: int, told: str) -> None:
    answer = ask(client, **fields)
    assert answer.status_code == status
    read(answer.text)
    assert "The installation cannot be judged yet" in answer.text
    assert told in answer.text.replace("&#39;", "'")
    assert "How to mend it" in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["content-security-policy"] == policy()


def test_what_was_typed_stands_in_the_form_again(client: httpx.Client) -> None:
    answer = ask(client, installation='{"id": "</textarea><b>"}', edition="2020", place="us-ma", date="2024-01-15")
    assert answer.status_code == 422
    assert "{&#34;id&#34;: &#34;&lt;/textarea&gt;&lt;b&gt;&#34;}" in answer.text
    assert '<option value="us-ma" selected>' in answer.text
    assert "<option selected>2020</option>" in answer.text
    assert 'value="2024-01-15"' in answer.text
    assert "&#39;</textarea>" not in answer.text


def test_other_bodies_and_broken_forms_are_problems(client: httpx.Client) -> None:
    for kind, body, status in (
        ("application/json", b"{}", 415),
        ("multipart/form-data", b"x", 400),
        ("multipart/form-data; boundary=x", b"--y\r\n", 400),
        ("application/x-www-form-urlencoded", b"installation=%ff", 400),
        ("application/x-www-form-urlencoded", b"&".join(b"a=1" for _ in range(500)), 400),
        ("application/x-www-form-urlencoded", b"installation=" + b"x" * (4 * MOST_BYTES), 413),
    ):
        answer = client.post("/judge", content=body, headers={"Content-Type": kind})
        assert answer.status_code == status, (kind, answer.text[-400:])
        assert "How to mend it" in answer.text


# Problems and formats


def test_problems_are_pages_where_pages_are_read(client: httpx.Client) -> None:
    for path in ("/rules/nothing", "/rules/nothing/2020", "/places/nowhere", "/tables/none", "/nothing", "/v1/nothing"):
        answer = client.get(path)
        assert answer.status_code == 404
        assert answer.headers["content-type"].startswith("text/html")
        assert answer.headers["content-security-policy"] == policy()
        read(answer.text)
        assert "There is nothing here" in answer.text
        assert client.get(path, headers={"Accept": "*/*"}).headers["content-type"] == "application/problem+json"
    close = client.get("/rules/range-and-dryer-frame-grounded").text
    assert "Perhaps meant" in close
    assert "range-and-dryer-frames-grounded" in close


@pytest.mark.parametrize(("media", "start"), [("text/html", "<!doctype html>"), ("application/pdf", "%PDF-1.7"), ("image/svg+xml", "<svg")])
def test_findings_can_be_had_on_paper_and_as_a_picture(client: httpx.Client, media: str, start: str) -> None:
    answer = client.post("/v1/findings", json={"installation": house(), "edition": EDITION}, headers={"Accept": media})
    assert answer.status_code == 200
    assert answer.headers["content-type"].partition(";")[0] == media
    assert answer.content.startswith(start.encode())


@pytest.mark.parametrize(("media", "start"), [("text/html", "<!doctype html>"), ("application/pdf", "%PDF-1.7"), ("image/svg+xml", "<svg")])
def test_planned_work_can_be_had_on_paper_and_as_a_picture(client: httpx.Client, media: str, start: str) -> None:
    folder = HOUSE_FILE.parent
    change = json.loads((folder / "alder-row-change.json").read_text())
    body = {"installation": json.loads((folder / "alder-row-before.json").read_text()), "change": change, "edition": EDITION}
    answer = client.post("/v1/what-if", json=body, headers={"Accept": media})
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].partition(";")[0] == media
    assert answer.content.startswith(start.encode())


def decision_in(page: str) -> str:
    found = re.search(r"<dt>Decision</dt><dd class=\"id\">([0-9a-f-]{36})</dd>", page)
    assert found is not None
    return found[1]


def test_what_is_printed_after_it_was_read_is_the_same_decision(client: httpx.Client) -> None:
    """The page, the page with the way back to the service, and the PDF are one decision; anything asked differently is another."""
    asked = {"installation": house(), "edition": EDITION}
    html = {"Accept": "text/html"}
    page = client.post("/v1/findings", json=asked, headers=html).text
    assert client.post("/v1/findings", json=asked, headers=html).text == page
    assert decision_in(client.post("/judge", data={"edition": EDITION, "installation": json.dumps(house())}).text) == decision_in(page)
    papers = [client.post("/v1/findings", json=asked, headers={"Accept": "application/pdf"}).content for _ in range(2)]
    assert papers[0] == papers[1]
    text = " ".join(" ".join(sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(papers[0])).pages).split())
    assert decision_in(page) in text
    turned = {**house(), "equipment": house()["equipment"][::-1]}
    others = [
        {**asked, "edition": "2023"},
        {**asked, "rules": ["range-and-dryer-frames-grounded"]},
        {**asked, "about": ["range-1"]},
        {**asked, "installation": {**house(), "title": "Another"}},
        {**asked, "installation": turned},
    ]
    decisions = {decision_in(client.post("/v1/findings", json=other, headers=html).text) for other in others}
    assert len(decisions) == len(others)
    assert decision_in(page) not in decisions


def test_a_picture_can_be_narrow(client: httpx.Client) -> None:
    widths = []
    for width in ("sheet", "phone"):
        answer = client.post("/v1/findings", json={"installation": house(), "edition": EDITION, "width": width}, headers={"Accept": "image/svg+xml"})
        widths.append(float(re.findall(r'width="([\d.]+)"', answer.text)[0]))
    assert widths[1] <= 400 < widths[0]


@pytest.mark.parametrize(("media", "start"), [("text/html", "<!doctype html>"), ("application/pdf", "%PDF-1.7"), ("text/csv", "number,rule,")])
def test_a_notice_can_be_had_on_paper_and_as_a_table(client: httpx.Client, media: str, start: str) -> None:
    answer = client.post("/v1/correction-notice", json={"installation": house(), "edition": EDITION}, headers={"Accept": media})
    assert answer.status_code == 200
    assert answer.headers["content-type"].partition(";")[0] == media
    assert answer.content.startswith(start.encode())


def test_a_paper_that_nobody_could_read_is_refused(client: httpx.Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("faultpath.service.paper.MOST_ON_PAPER", 3)
    unseen = {**house(), "title": "Asked about for the first time"}
    answer = client.post("/v1/findings", json={"installation": unseen, "edition": EDITION}, headers={"Accept": "application/pdf, application/problem+json"})
    assert answer.status_code == 422
    assert "JSON, which holds all" in answer.json()["detail"]
