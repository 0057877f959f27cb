"""In a real browser: no accessibility violation on any kind of page, nothing wider than the screen, a form for the keyboard alone, print.

The browser is the Chromium of the system; nothing is downloaded. `FAULTPATH_CHROMIUM` names another.
"""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

from faultpath.answers.notice import answer_notice
from faultpath.book.cases import house
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.present.documents.before_after import work_html
from faultpath.present.documents.notice import notice_html
from faultpath.present.documents.report import report, report_html
from serving import EDITION, HOUSE_FILE, running
from serving import house as example_house
from test_papers import worked

CHROMIUM = os.environ.get("FAULTPATH_CHROMIUM") or shutil.which("chromium")
WIDTHS = (360, 1280)
KINDS = ["/", "/judge", "/judge?example=yes", "/rules", "/rules/range-and-dryer-frames-grounded", "/rules/neutral-isolated-past-the-service/2023"]
KINDS += ["/editions", "/places", "/places/us-ma", "/practices", "/tables", "/tables/equipment-grounding-conductor-sizes", "/docs", "/rules/nothing"]
FILES = ["report", "report-of-a-full-house", "notice", "work"]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with running() as client:
        yield str(client.base_url).rstrip("/")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    assert CHROMIUM, "no chromium on this machine: .ci/run installs it from the distribution"
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-dev-shm-usage"])
        yield found
        found.close()


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("papers")
    broken = assess(read_document(example_house()), Law(2020))
    (folder / "report.html").write_text(report_html(report(broken)))
    (folder / "notice.html").write_text(notice_html(answer_notice(broken)))
    (folder / "work.html").write_text(work_html(*worked()))
    (folder / "report-of-a-full-house.html").write_text(report_html(report(assess(read_document(house("birch-lane")), Law(2023)))))
    return folder


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    found = browser.new_page()
    faults: list[str] = []
    found.on("console", lambda message: faults.append(message.text) if message.type == "error" and "status of 4" not in message.text else None)
    found.on("requestfailed", lambda request: faults.append(request.url))
    yield found
    found.close()
    assert faults == []


def passes(page: Page) -> None:
    """What the checker finds, with the place of each."""
    found = Axe().run(page)
    assert [(v["id"], [node["html"][:200] for node in v["nodes"]]) for v in found.response["violations"]] == []


def fits(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= page.evaluate("document.documentElement.clientWidth")


@pytest.mark.parametrize("path", KINDS)
def test_a_page_is_accessible_and_fits(page: Page, address: str, path: str) -> None:
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        page.goto(address + path)
        fits(page)
        passes(page)


@pytest.mark.parametrize("name", FILES)
def test_a_paper_is_accessible_and_fits(page: Page, papers: Path, name: str) -> None:
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        page.goto((papers / f"{name}.html").as_uri())
        fits(page)
        passes(page)


def test_the_picture_is_the_one_for_the_width(page: Page, papers: Path) -> None:
    for width, shown, hidden in ((360, ".phone", ".sheet"), (1280, ".sheet", ".phone")):
        page.set_viewport_size({"width": width, "height": 800})
        page.goto((papers / "report.html").as_uri())
        assert page.locator(f".picture {shown}").is_visible()
        assert not page.locator(f".picture {hidden}").is_visible()


def test_what_fails_stands_open_and_the_rest_opens_on_demand(page: Page, papers: Path) -> None:
    page.goto((papers / "report.html").as_uri())
    failing = page.locator(".finding.fails").first
    assert failing.locator(".was.fails").first.is_visible()
    undecided = page.locator(".finding.undecided").first
    assert not undecided.locator(".tree").first.is_visible()
    undecided.locator("summary").first.press("Enter")
    assert undecided.locator(".tree").first.is_visible()


def test_the_form_is_used_with_the_keyboard_alone(page: Page, address: str) -> None:
    page.goto(address + "/judge")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    reached = []
    for _ in range(40):
        page.keyboard.press("Tab")
        name = page.evaluate("document.activeElement.id || document.activeElement.textContent.trim()")
        if reached and reached[-1] == name:
            continue
        reached.append(name)
        if name == "installation":
            page.keyboard.insert_text(HOUSE_FILE.read_text())
        elif name == "edition":
            page.keyboard.type(EDITION)
        elif name == "Read the report":
            break
    assert reached[-1] == "Read the report"
    assert [name for name in reached if name in ("installation", "file", "edition", "place", "date")] == ["installation", "file", "edition", "place", "date"]
    page.keyboard.press("Enter")
    page.wait_for_selector(".verdict")
    assert page.locator(".verdict").inner_text() == "5 fail, and 10 cannot be decided until more is known."
    fits(page)
    passes(page)


def test_a_file_is_uploaded_and_a_defect_is_told_where_it_stands(page: Page, address: str) -> None:
    page.goto(address + "/judge")
    page.set_input_files("#file", HOUSE_FILE)
    page.select_option("#edition", EDITION)
    page.get_by_role("button", name="Read the report").click()
    assert page.locator(".verdict").is_visible()
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        page.goto(address + "/judge")
        page.fill("#installation", HOUSE_FILE.read_text().replace('"runs"', '"runz"', 1))
        page.select_option("#edition", EDITION)
        with page.expect_navigation() as navigation:
            page.get_by_role("button", name="Read the report").click()
        answer = navigation.value
        assert answer is not None
        assert answer.status == 422
        assert "/runz" in page.locator("main").inner_text()
        assert "runs" in page.locator(".problem").first.inner_text()
        assert page.input_value("#edition") == EDITION
        fits(page)
        passes(page)


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_it_prints(page: Page, papers: Path, name: str, paper: str) -> None:
    page.goto((papers / f"{name}.html").as_uri())
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 700, "height": 900})
    fits(page)
    assert not page.locator("header.site").count()
    printed = page.pdf(format=paper)
    assert printed.startswith(b"%PDF")


def test_the_service_prints_without_its_navigation(page: Page, address: str) -> None:
    page.goto(address + "/rules/range-and-dryer-frames-grounded")
    page.emulate_media(media="print")
    assert not page.locator("header.site").is_visible()
