"""The draft of a correction notice to read, print and fill in: HTML, tagged PDF and CSV."""

import csv
import io

from faultpath.answers.notice import NoticeAnswer, NoticeItem
from faultpath.present.documents.paper import render
from faultpath.present.documents.pdf import pdf

# Spreadsheets take a cell that starts with one of these for a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_SHARED = ("rule", "about", "location", "edition", "section")


def notice_html(found: NoticeAnswer, *, on_site: bool = False) -> str:
    """The draft as one HTML document that needs nothing else."""
    return render("notice.html", notice=found, on_site=on_site)


def notice_pdf(found: NoticeAnswer) -> bytes:
    """The draft as tagged PDF."""
    return pdf(notice_html(found), found.record.decision)


def notice_csv(found: NoticeAnswer) -> str:
    """The items as a table, and below them what could not be told: those rows have the status `not determined` and no number."""
    columns = [*NoticeItem.model_fields, "draft"]
    rows = [{**item.model_dump(), "draft": found.says} for item in found.items]
    for query in found.undetermined:
        shared = {key: value for key, value in query.model_dump().items() if key in _SHARED}
        rows.append({**shared, "found": "To find out: " + " ".join(query.asks), "status": "not determined", "draft": found.says})
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, restval="")
    writer.writeheader()
    writer.writerows({key: _cell(value) for key, value in row.items()} for row in rows)
    return text.getvalue()


def _cell(value: object) -> str:
    said = "" if value is None else str(value)
    return f"'{said}" if said.startswith(_FORMULA) else said
