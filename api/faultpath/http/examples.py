"""An invented house, what is asked about it, and what it is answered: the examples of the description and of the first page."""

from datetime import UTC, datetime
from functools import cache
from typing import Any
from uuid import UUID

from faultpath.answers.law import answers_of
from faultpath.answers.record import Answer
from faultpath.answers.remedies import RemediesAnswer
from faultpath.answers.what_if import WhatIfAnswer
from faultpath.document.installation import Installation, read_document
from faultpath.service.comparison import ComparisonQuestion, ask_comparison
from faultpath.service.example import example
from faultpath.service.fault_loop import FaultLoopQuestion, ask_fault_loop
from faultpath.service.findings import FindingsQuestion, ask_findings
from faultpath.service.notice import NoticeQuestion, ask_notice
from faultpath.service.open_neutral import OpenNeutralQuestion, ask_open_neutral
from faultpath.service.origin import OriginQuestion, ask_origin
from faultpath.service.remedies import RemediesQuestion, ask_remedies
from faultpath.service.requests import Question
from faultpath.service.sizing import SizingQuestion, ask_sizing
from faultpath.service.what_if import WhatIfQuestion, ask_what_if


def example_request(envelope: type[Question]) -> dict[str, Any]:
    """The example as a request of this kind: what it must state, and the edition."""
    return {name: example()[name] for name, field in envelope.model_fields.items() if field.is_required() or name == "edition"}


@cache
def example_answers() -> dict[str, dict[str, Any]]:
    """What the example requests are answered, cut short, with a record that does not change from day to day."""
    asked, house = example(), read_document(example()["installation"])
    (judged,) = answers_of(ask_findings(house, FindingsQuestion(edition=asked["edition"], about=asked["about"])))
    (opened,) = answers_of(ask_open_neutral(house, OpenNeutralQuestion(edition=asked["edition"], about=asked["about"])))
    answers: dict[str, Answer] = {
        "/v1/findings": judged.model_copy(update={"findings": [f.model_copy(update={"why": None}) for f in judged.findings[:1]], "derivations": []}),
        "/v1/correction-notice": ask_notice(house, NoticeQuestion(edition=asked["edition"], about=asked["about"])),
        "/v1/origin": ask_origin(house, OriginQuestion(edition=asked["edition"], about=asked["about"])),
        "/v1/fault-loop": ask_fault_loop(house, FaultLoopQuestion(edition=asked["edition"], about=asked["frames"])),
        "/v1/open-neutral": opened.model_copy(update={"openings": [o.model_copy(update={"by_split": o.by_split[:1]}) for o in opened.openings[:1]]}),
        "/v1/sizing": ask_sizing(house, SizingQuestion(edition=asked["edition"], about=asked["frames"])),
        "/v1/editions/comparison": ask_comparison(house, ComparisonQuestion(editions=asked["editions"], about=asked["about"])),
        "/v1/what-if": _short_what_if(house),
        "/v1/remedies": _short_remedies(house),
    }
    shown = {path: answer.model_dump(mode="json") for path, answer in answers.items()}
    for answer in shown.values():
        answer["record"] |= {"decision": str(UUID(int=0)), "time": datetime.fromtimestamp(0, UTC).isoformat()}
        for path in answer.get("paths", []):
            path["stages"] = path["stages"][:1]
    return shown


def _short_what_if(house: Installation) -> WhatIfAnswer:
    asked = example()
    (found,) = answers_of(ask_what_if(house, WhatIfQuestion(edition=asked["edition"], change=asked["change"])))
    stops = [c.model_copy(update={"before": None, "after": None}) for c in found.stops_failing[:1]]
    return found.model_copy(update={"starts_failing": [], "stops_failing": stops, "becomes_undecided": [], "changed": []})


def _short_remedies(house: Installation) -> RemediesAnswer:
    asked = example()
    (found,) = answers_of(ask_remedies(house, RemediesQuestion(edition=asked["edition"], limit=1)))
    shorter = found.questions.model_copy(update={"facts": found.questions.facts[:1]})
    return found.model_copy(update={"failing": found.failing[:1], "plans": found.plans[:1], "questions": shorter})
