"""Papers: the report says all that matters and never that undecided is fine; the PDF is tagged and the same bytes; the notice is a draft."""

import csv
import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pypdf
import pytest
from hypothesis import given, settings

from faultpath.answers.findings import Summary
from faultpath.answers.notice import answer_notice
from faultpath.answers.what_if import WhatIfAnswer, plan_request, what_if
from faultpath.book.cases import example
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Assessed, Law, assess
from faultpath.planning.change import read_change
from faultpath.present.documents.before_after import verdict as work_verdict
from faultpath.present.documents.before_after import work_html
from faultpath.present.documents.notice import notice_csv, notice_html, notice_pdf
from faultpath.present.documents.paper import policy, style
from faultpath.present.documents.pdf import pdf
from faultpath.present.documents.report import Report, report, report_html, report_pdf, verdict
from generated import installations

BROKEN = "alder-row-outdoor-disconnect"
HEADINGS = ["Summary", "Picture", "What fails", "What cannot be decided", "What a fault would do", "To find out on site", "What holds", "Sizes", "Remedies"]
HEADINGS += ["Under other editions", "Sources and standing", "Record"]


def judged(edition: int = 2020, **differently: Any) -> Assessed:
    return assess(read_document({**example(BROKEN), **differently}), Law(edition))


@pytest.fixture(scope="module")
def found() -> Report:
    return report(judged())


@pytest.fixture(scope="module")
def page(found: Report) -> str:
    return report_html(found)


@pytest.fixture(scope="module")
def paper(found: Report) -> bytes:
    return report_pdf(found)


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", re.sub(r"<style>.*?</style>", "", html, flags=re.DOTALL)).split())


def test_the_report_has_its_headings_in_order(page: str) -> None:
    assert re.findall(r"<h2[^>]*>([^<]*)</h2>", page) == HEADINGS


def test_every_section_after_the_summary_can_be_reached_from_the_head(page: str) -> None:
    contents = page.split('<nav class="contents"')[1].split("</nav>")[0]
    assert re.findall(r'href="#([^"]+)"', contents) == re.findall(r'<h2 id="([^"]+)"', page)[1:]


def test_what_a_step_of_the_arithmetic_does_is_told_once(found: Report, page: str) -> None:
    section = page.split('<h2 id="sizes">')[1].split("</section>")[0].replace("&#39;", "'")
    told = {step.says for sizing in found.sizes for step in sizing.steps}
    assert len(told) > 3
    assert all(section.count(f">{says}</span>") == 1 for says in told)


def test_the_caution_is_said_once_and_the_verdict_counts_both(found: Report, page: str) -> None:
    assert page.count(found.caution) == 1
    assert found.verdict == "5 fail, and 10 cannot be decided until more is known."
    assert found.verdict in page


def test_every_finding_that_matters_is_told_under_its_number_in_the_picture(found: Report, page: str) -> None:
    numbers = [one.number for one in (*found.failing, *found.undecided)]
    assert numbers == list(range(1, len(numbers) + 1))
    for one in (*found.failing, *found.undecided):
        assert f'id="finding-{one.number}"' in page
        assert f">{one.number}{'' if one.finding.outcome == 'fails' else '?'}</text>" in found.pictures["sheet"]


def test_what_fails_stands_open_down_to_what_was_found(page: str) -> None:
    article = page.split('id="finding-1"')[1].split("</article>")[0]
    assert '<details class="conditions" open>' in article
    assert "<details open>" in article
    assert re.search(r'class="was fails">found</span> ', article)


def test_every_missing_fact_is_asked_once_with_something_to_tick(found: Report, page: str) -> None:
    facts = {(missing.about, missing.fact) for one in (*found.failing, *found.undecided) for missing in one.finding.missing}
    assert found.figures is not None
    facts |= {(missing.about, missing.fact) for missing in found.figures.asked}
    assert {(fact.about, fact.fact) for fact in found.facts} == facts
    assert len(found.facts) == len(facts)
    assert page.count('<input type="checkbox">') >= len(facts)
    ticked = {fact.fact: fact.boxes for fact in found.facts}
    assert ("yes", "no") in ticked.values()


@pytest.mark.parametrize(
    ("counts", "told"),
    [
        ((3, 0, 0), "Nothing fails."),
        ((3, 1, 0), "1 fails."),
        ((3, 0, 1), "Not settled: nothing was found to fail, but 1 cannot be decided until more is known."),
        ((0, 2, 3), "2 fail, and 3 cannot be decided until more is known."),
        ((0, 0, 0), "Nothing was judged: no rule of the book is about what is described here."),
    ],
)
def test_undecided_is_never_a_clean_verdict(counts: tuple[int, int, int], told: str) -> None:
    holds, fails, undecided = counts
    assert verdict(Summary(holds=holds, fails=fails, undecided=undecided, not_applicable=0, not_encoded=[])) == told


def test_rules_that_nobody_checked_are_named_as_not_judged(found: Report, page: str) -> None:
    assert found.not_judged
    assert f"<strong>Not judged:</strong> nobody has checked {len(found.not_judged)} rule" in page
    summary = Summary(holds=3, fails=0, undecided=0, not_applicable=0, not_encoded=["a"])
    assert verdict(summary) == "Nothing that was judged fails."


def test_what_the_document_says_is_text_and_never_markup() -> None:
    hostile = '<script>alert(1)</script><img src="x">"&'
    page = report_html(report(judged(title=hostile)))
    assert "<script" not in page
    assert "<img" not in page
    assert page.count("&lt;script&gt;") >= 3


def test_nothing_in_a_page_comes_from_elsewhere_or_runs(page: str) -> None:
    assert "<script" not in page
    assert not re.search(r"\s(?:src|srcset|onclick|onload|style)=", page)
    assert "url(" not in style()
    assert "@import" not in style()
    assert "unsafe" not in policy()
    assert policy().startswith("default-src 'none'; style-src 'sha256-")


def test_other_editions_are_told_as_runs_of_years(found: Report) -> None:
    assert found.spans
    for span in found.spans:
        assert len({outcome for _, outcome, _ in span.runs}) > 1
        assert all(one[1] != other[1] for one, other in zip(span.runs, span.runs[1:], strict=False))


def test_a_large_installation_is_told_as_not_compared(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("faultpath.present.documents.report._COMPARABLE", 10)
    found = report(judged())
    assert (found.spans, found.steady) == ((), None)
    assert "Not judged under other editions" in report_html(found)


# PDF


def test_the_pdf_is_tagged_and_says_what_it_is(paper: bytes, found: Report) -> None:
    read = pypdf.PdfReader(io.BytesIO(paper))
    catalog: Any = read.trailer["/Root"]
    assert catalog["/MarkInfo"]["/Marked"]
    assert catalog["/Lang"] == "en"
    assert "pdfuaid:part" in catalog["/Metadata"].get_object().get_data().decode()
    assert found.title in str(read.metadata and read.metadata.title)
    kinds: dict[str, int] = {}
    pictures: list[str] = []

    def walk(node: Any) -> None:
        node = node.get_object()
        if isinstance(node, list):
            for inner in node:
                walk(inner)
        elif isinstance(node, dict):
            kind = str(node.get("/S", ""))
            kinds[kind] = kinds.get(kind, 0) + 1
            if kind == "/Figure":
                pictures.append(str(node.get("/Alt", "")))
            if "/K" in node:
                walk(node["/K"])

    walk(catalog["/StructTreeRoot"]["/K"])
    assert kinds["/H1"] == 1
    assert kinds["/H2"] == len(HEADINGS)
    assert {"/Table", "/TH", "/TD", "/L", "/LI", "/P", "/Figure"} <= set(kinds)
    assert any("One-line diagram" in alt for alt in pictures)
    assert any("Neutral of range-cord open" in alt for alt in pictures)


def test_the_pdf_fits_on_letter_and_on_a4(paper: bytes) -> None:
    for sheet in pypdf.PdfReader(io.BytesIO(paper)).pages:
        short, long = sorted((float(sheet.mediabox.width), float(sheet.mediabox.height)))
        assert short <= 210 / 25.4 * 72 + 0.1
        assert long <= 11 * 72 + 0.1


def test_the_same_paper_is_the_same_bytes_in_every_process(page: str, found: Report, paper: bytes, tmp_path: Path) -> None:
    (tmp_path / "page.html").write_text(page)
    program = (
        "import sys, pathlib; from faultpath.present.documents.pdf import pdf; sys.stdout.buffer.write(pdf(pathlib.Path(sys.argv[1]).read_text(), sys.argv[2]))"
    )
    environment = {**os.environ, "PYTHONPATH": "api", "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    arguments = [sys.executable, "-c", program, tmp_path / "page.html", found.record.decision]
    again = subprocess.run(arguments, cwd=Path(__file__).parent.parent, env=environment, capture_output=True, check=True)
    assert again.stdout == paper
    assert again.stderr == b""


def test_all_that_fails_stands_in_the_text_of_the_pdf(paper: bytes, found: Report) -> None:
    text = " ".join(" ".join(sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(paper)).pages).split())
    for one in found.failing:
        assert one.finding.citation.section in text
    assert "cannot be decided" in text
    assert found.record.book_digest[:20] in text


# The notice


def test_a_notice_has_an_item_for_each_failure_and_a_question_for_each_open_finding() -> None:
    found = answer_notice(judged())
    assert found.draft
    assert len(found.items) == 5
    assert len(found.undetermined) == 10
    for number, item in enumerate(found.items, 1):
        assert item.number == number
        assert (item.severity, item.evidence, item.status) == (None, None, "open")
        assert item.section
        assert item.found != item.requirement
    assert all(query.asks for query in found.undetermined)
    assert found.closing.inspector_signature is None
    assert found.closing.receiver_signature is None
    assert (found.header.result, found.closing.reinspection_required) == (None, None)


def test_a_location_says_what_it_is_where_it_stands_and_what_feeds_it() -> None:
    found = answer_notice(judged())
    located = {item.about: item.location for item in found.items}
    assert located["panel"] == "panel (panelboard), indoors, fed from outdoor-main by outdoor-main-to-panel"
    assert "from outdoor-main to panel" in located["outdoor-main-to-panel"]


def test_what_an_inspector_fills_in_fits_the_schema() -> None:
    """Who receives the JSON edits it: every field of an item takes another value, and the head and the foot as well."""
    found = answer_notice(judged())
    edited = json.loads(found.model_dump_json())
    edited["items"][0] |= {"severity": "before-energising", "status": "verified", "evidence": "nameplate", "found": "As seen."}
    edited["header"] |= {"permit_number": "1", "result": "corrections-required"}
    edited["closing"] |= {"reinspection_required": True, "correct_by": "as the law says"}
    assert type(found).model_validate(edited).items[0].severity == "before-energising"
    edited["closing"]["inspector_signature"] = "somebody"
    with pytest.raises(ValueError, match="inspector_signature"):
        type(found).model_validate(edited)


def test_the_draft_says_so_on_paper_and_leaves_the_signatures_blank() -> None:
    found = answer_notice(judged())
    html = notice_html(found)
    assert re.findall(r"<h2[^>]*>([^<]*)</h2>", html) == ["To be corrected", "Could not be determined", "Closing", "Record"]
    assert '<p class="draft">Draft</p>' in html
    assert found.says in html
    assert html.count("<dt>Signature of the") == 2
    assert all(rest.startswith("<dd></dd>") for rest in re.split(r"<dt>Signature of the \w+</dt>", html)[1:])
    assert "neither passed nor failed" in words(html)
    assert notice_pdf(found) == notice_pdf(found)


def test_the_table_of_items_opens_in_a_spreadsheet_without_running() -> None:
    hostile = answer_notice(judged()).model_copy(update={"says": "=1+1"})
    rows = list(csv.DictReader(io.StringIO(notice_csv(hostile))))
    assert len(rows) == 15
    assert {row["status"] for row in rows} == {"open", "not determined"}
    assert rows[0]["draft"] == "'=1+1"
    assert all(row["draft"] for row in rows)


@given(installations(complete=False))
@settings(max_examples=12)
def test_anything_that_can_be_judged_can_be_put_on_paper(document: dict[str, Any]) -> None:
    assessed = assess(read_document(document), Law(2023))
    found = report(assessed)
    html = report_html(found)
    assert html.count('<article class="finding') == len(found.failing) + len(found.undecided) == found.summary.fails + found.summary.undecided
    assert html.count("<details") == html.count("</details>")
    notice = answer_notice(assessed)
    assert notice_html(notice).count('<article class="item"') == len(notice.items) == found.summary.fails


# Planned work


def worked() -> tuple[Assessed, Assessed, WhatIfAnswer]:
    house = read_document(example("alder-row-before"))
    change = read_change(list(json.loads((Path(__file__).parent.parent / "examples" / "alder-row-change.json").read_text())[:1]))
    law = Law(2020)
    planned = plan_request(house, change, law)
    return planned.before, planned.after, what_if(planned)


def test_planned_work_shows_both_states_and_what_it_makes_fail() -> None:
    before, after, answer = worked()
    html = work_html(before, after, answer)
    headings = [
        "The work",
        "Summary",
        "Before and after",
        "Starts to fail",
        "Can no longer be decided",
        "No longer fails",
        "What a fault would do",
        "Unchanged",
    ]
    assert re.findall(r"<h2[^>]*>([^<]*)</h2>", html) == [*headings, "What the numbers stand for", "Record"]
    assert work_verdict(answer) == "5 start to fail and 9 can no longer be decided. After it 5 fail and 14 cannot be decided."
    assert html.count(answer.caution) == 1
    for changed in (*answer.starts_failing, *answer.becomes_undecided):
        assert changed.causes[0].says.split(" because ")[0] in words(html).replace("&#39;", "'")
    assert ">Before</text>" in html
    assert ">After</text>" in html
    assert pdf(html, "x") == pdf(html, "x")


def test_planned_work_shows_where_a_fault_would_do_something_else() -> None:
    """The old panel has only the utility's protection ahead of it; behind the new disconnect a device opens. The new one was not there."""
    html = work_html(*worked()).split('<h2 id="faults">')[1].split("</section>")[0]
    told = {}
    for body in re.findall(r"<tbody>(.*?)</tbody>", html, re.DOTALL):
        rows = re.findall(r"<tr>(.*?)</tr>", body, re.DOTALL)
        told[words(rows[0])] = [words(row) for row in rows[1:]]
    assert set(told) == {"panel", "outdoor-main"}, "what cannot be told before and after is not shown as a change"
    assert "none on the premises" in told["panel"][0]
    assert "100 A, opens after" in told["panel"][1]
    assert told["outdoor-main"][0] == "before not there"


def test_work_that_leaves_something_open_is_never_told_as_fine() -> None:
    _, _, answer = worked()
    quiet = answer.model_copy(update={"starts_failing": [], "becomes_undecided": []})
    assert work_verdict(quiet) == "The work makes nothing fail that held before. After it 5 fail and 14 cannot be decided."


def test_plans_tell_what_they_leave_open(found: Report, page: str) -> None:
    assert found.remedies is not None
    assert len(found.remedies.plans) == 3
    section = page.split('<h2 id="remedies">')[1].split("</section>")[0]
    assert section.count("Newly open:") == sum(1 for plan in found.remedies.plans if plan.leaves_undecided)
