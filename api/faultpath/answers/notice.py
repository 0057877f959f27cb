"""A correction notice in draft: what fails, as an inspector writes it up. Who inspects fills in, changes, decides and signs; nothing here does."""

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from faultpath.answers.findings import Finding, answer_findings
from faultpath.answers.record import CAUTION, Answer, Record
from faultpath.base.outcomes import Outcome
from faultpath.book.vocabulary import vocabulary
from faultpath.document.consistency import Part, class_of, walk
from faultpath.judging.assessment import Assessed

DRAFT = "Draft made from what was described, not from an inspection. It is no notice until an inspector has checked, completed and signed it."
Severity = Literal["immediate-hazard", "before-cover", "before-energising", "before-final", "advisory"]
Status = Literal["open", "corrected-to-be-verified", "verified", "withdrawn", "appealed", "variance-granted"]
Inspection = Literal["underground", "electrode-before-pour", "rough-in", "service", "cover", "final", "re-inspection", "complaint"]
Result = Literal["approved", "approved-with-conditions", "partly-approved", "corrections-required", "not-ready", "hazard-do-not-energise", "stop-work"]


class NoticeHeader(Answer):
    """The head of the notice. What nobody has said is null, for the inspector to fill in."""

    notice_number: str | None = Field(default=None, description="Number of the notice.")
    permit_number: str | None = Field(default=None, description="Number of the permit.")
    site: str = Field(description="What the installation is called; the address is the inspector's to enter.")
    address: str | None = Field(default=None, description="Address and unit.")
    occupancy: str | None = Field(description="Occupancy class, as stated; null where it was not.")
    contractor_or_owner: str | None = Field(default=None, description="Who is to correct it.")
    licence_number: str | None = Field(default=None, description="Licence number of the contractor.")
    inspection: Inspection | None = Field(default=None, description="Kind of inspection.")
    inspected_at: str | None = Field(default=None, description="Date and time of the inspection.")
    inspector: str | None = Field(default=None, description="Who inspected.")
    edition: str | None = Field(description="Edition of the code that was applied.")
    place: str | None = Field(description="Place whose amendments were applied; null for none.")
    practices: list[str] = Field(description="Named practices that were chosen instead of the strict reading.")
    result: Result | None = Field(default=None, description="Result of the inspection.")


class NoticeItem(Answer):
    """One thing to be corrected."""

    number: int = Field(description="Number of the item, from one.")
    rule: str = Field(description="Key of the rule.")
    about: str = Field(description="Id of the part.")
    location: str = Field(description="Where it is: equipment, circuit, building.")
    edition: str = Field(description="Edition cited.")
    section: str = Field(description="Section cited.")
    found: str = Field(description="What was found, as a fact.")
    requirement: str = Field(description="The requirement in short, in our words.")
    required_result: str = Field(description="The result to be reached; how is not said.")
    severity: Severity | None = Field(default=None, description="Severity, for the inspector to say.")
    evidence: str | None = Field(default=None, description="Photo, measurement or nameplate, for the inspector to add.")
    status: Status = Field(default="open", description="Status of the item.")
    standing: str = Field(description="How far the content of the rule was checked: verified, partly or memory.")


class NoticeQuery(Answer):
    """Something that could not be told, and what has to be looked at. It is neither passed nor failed."""

    rule: str = Field(description="Key of the rule.")
    about: str = Field(description="Id of the part.")
    location: str = Field(description="Where it is.")
    edition: str = Field(description="Edition that the question is asked under.")
    section: str = Field(description="Section that the question is asked under.")
    asks: list[str] = Field(description="What to find out.")


class NoticeClosing(Answer):
    """The foot of the notice, left to who inspects. Signatures are never filled in here."""

    correct_by: str | None = Field(default=None, description="Date by which to correct; local law.")
    reinspection_required: bool | None = Field(default=None, description="Whether the work must be inspected again.")
    reinspection_fee: str | None = Field(default=None, description="Fee of the next inspection.")
    may_be_covered: bool | None = Field(default=None, description="Whether the work may be covered before it is approved.")
    may_be_energised: bool | None = Field(default=None, description="Whether it may be connected before it is approved.")
    appeal: str | None = Field(default=None, description="How to appeal.")
    inspector_signature: None = Field(default=None, description="Always blank.")
    receiver_signature: None = Field(default=None, description="Always blank.")


class NoticeAnswer(Answer):
    """A correction notice in draft."""

    record: Record
    caution: str
    draft: Literal[True] = Field(default=True, description="Always true: this is no notice yet.")
    says: str = Field(description="What the draft is and is not.")
    header: NoticeHeader = Field(description="The head of the notice.")
    items: list[NoticeItem] = Field(description="What is to be corrected.")
    undetermined: list[NoticeQuery] = Field(description="What could not be told, to be looked at before anything is approved.")
    closing: NoticeClosing = Field(description="The foot of the notice.")


def answer_notice(assessed: Assessed) -> NoticeAnswer:
    """The draft for an assessed installation: an item for each finding that fails, a question for each that is undecided."""
    answer = answer_findings(assessed)
    document = assessed.installation.document
    record, places = answer.record, _Places(document)
    failing = [f for f in answer.findings if f.outcome is Outcome.FAILS]
    return NoticeAnswer(
        record=record,
        caution=CAUTION,
        says=DRAFT,
        header=NoticeHeader(
            site=document.get("title") or document["id"],
            occupancy=document.get("occupancy"),
            edition=record.edition,
            place=record.place,
            practices=record.practices,
        ),
        items=[_item(number, finding, assessed, places) for number, finding in enumerate(failing, 1)],
        undetermined=[_query(finding, places) for finding in answer.findings if finding.outcome is Outcome.UNDECIDED and not finding.cannot_fail],
        closing=NoticeClosing(),
    )


def _item(number: int, finding: Finding, assessed: Assessed, places: "_Places") -> NoticeItem:
    rule = assessed.law.book[finding.rule]
    return NoticeItem(
        number=number,
        rule=finding.rule,
        about=finding.about,
        location=places.of(finding.about),
        edition=finding.citation.edition,
        section=finding.citation.section,
        found=finding.says.removeprefix(f"{finding.about}: "),
        requirement=rule.requires,
        required_result=f"{rule.label}.",
        standing=finding.standing,
    )


def _query(finding: Finding, places: "_Places") -> NoticeQuery:
    return NoticeQuery(
        rule=finding.rule,
        about=finding.about,
        location=places.of(finding.about),
        edition=finding.citation.edition,
        section=finding.citation.section,
        asks=list(dict.fromkeys(fact.ask for fact in finding.missing)),
    )


class _Places:
    """Where each part of a document is, as an inspector writes it."""

    def __init__(self, document: Part) -> None:
        self._parts: dict[str, Part] = {}
        self._kinds: dict[str, str] = {}
        self._above: dict[str, str] = {}
        ids: dict[str, str] = {}
        for at, cls, part in walk(document):
            ids[at] = part["id"]
            self._parts[part["id"]] = part
            self._kinds[part["id"]] = vocabulary().labels[class_of(part, cls)]
            above = at.rpartition("/")[0]
            while above and above not in ids:
                above = above.rpartition("/")[0]
            if above:
                self._above[part["id"]] = ids[above]
        self._feeding = {run["to"]: run for run in document.get("runs", [])}
        self._top = document["id"]

    def of(self, identifier: str) -> str:
        """The part, what it is part of, where that stands and what feeds it."""
        return ", ".join(self._said(identifier))

    def _said(self, identifier: str) -> Iterator[str]:
        part = self._parts[identifier]
        yield f"{part.get('title') or identifier} ({self._kinds[identifier]})"
        owner = self._above.get(identifier)
        if owner is not None and owner != self._top:
            yield f"part of {', '.join(self._said(owner))}"
            return
        if "from" in part and "to" in part:
            yield f"from {part['from']} to {part['to']}"
        for key in ("location", "building"):
            if key in part:
                yield str(part[key]) if key == "location" else f"building {part[key]}"
        run = self._feeding.get(identifier)
        if run is not None:
            yield f"fed from {run['from']} by {run['id']}"
