"""One installation under several editions: outcome by rule, node and edition, and what the text changed."""

from collections.abc import Collection, Sequence
from itertools import pairwise

from pydantic import Field

from faultpath.answers.findings import assess_request
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.assessment import Law
from faultpath.installation import Installation, id_of
from faultpath.rulebook import Rule, text_conditions


class EditionOutcome(Answer):
    """What a rule says about a node in one edition."""

    edition: str
    outcome: str = Field(description="holds, fails, undecided, not_applicable or not_encoded.")
    section: str | None = Field(description="Where that edition prints the rule; null where it was not checked.")


class ComparisonRow(Answer):
    """One rule on one node across the editions asked for."""

    rule: str
    about: str
    outcomes: list[EditionOutcome]
    differs: bool = Field(description="Whether the outcome is not the same in all editions that answer.")


class TextChange(Answer):
    """What changed in a rule from one of the editions asked for to the next."""

    rule: str
    earlier: str
    later: str
    added: list[str] = Field(description="Conditions of the later text that the earlier one does not have, by IRI.")
    dropped: list[str] = Field(description="Conditions of the earlier text that the later one does not have, by IRI.")
    unchanged: list[str] = Field(description="Conditions that both share, by IRI.")
    section_moved: bool = Field(description="Whether the section that prints the rule is another.")
    says: str = Field(description="The change in one sentence.")


class ComparisonAnswer(Answer):
    """The table of outcomes and the changes of the texts behind it."""

    record: Record
    caution: str
    editions: list[str]
    rows: list[ComparisonRow]
    changes: list[TextChange]


def compare(
    installation: Installation, editions: Sequence[int], practices: frozenset[str] = frozenset(), only: Collection[str] = (), about: Collection[str] = ()
) -> ComparisonAnswer:
    """Judge an installation under each edition, oldest first. Raises BadInput for an unknown rule or node."""
    years = sorted(set(editions))
    book = Law(years[0], practices=practices).book
    outcomes: dict[tuple[str, str], dict[int, str]] = {}
    for year in years:
        for rule, judgement in assess_request(installation, Law(year, practices=practices), only, about).judgements:
            outcomes.setdefault((rule.key, judgement.about), {})[year] = judgement.outcome.value
    rows = [_row(book[key], node, found, years) for (key, node), found in outcomes.items()]
    asked = [rule for key, rule in book.items() if not only or key in only]
    changes = [change for rule in asked for earlier, later in pairwise(years) if (change := text_change(rule, earlier, later)) is not None]
    return ComparisonAnswer(record=new_record(installation, None), caution=CAUTION, editions=[str(year) for year in years], rows=rows, changes=changes)


def _row(rule: Rule, node: str, found: dict[int, str], years: Sequence[int]) -> ComparisonRow:
    outcomes = [
        EditionOutcome(
            edition=str(year),
            outcome=found.get(year, "not_encoded"),
            section=rule.citations[year].section if year in rule.citations else None,
        )
        for year in years
    ]
    return ComparisonRow(rule=rule.key, about=id_of(node), outcomes=outcomes, differs=len(set(found.values())) > 1)


def text_change(rule: Rule, earlier: int, later: int) -> TextChange | None:
    """What changed in a rule between two editions, as set arithmetic on conditions; None where nothing did."""
    old, new = rule.text_in(earlier), rule.text_in(later)
    if old is None or new is None:
        return None
    before = [condition.iri for condition in text_conditions(old) if condition.iri != old.iri]
    after = [condition.iri for condition in text_conditions(new) if condition.iri != new.iri]
    moved = rule.citations[earlier].section != rule.citations[later].section
    if old.iri == new.iri and not moved:
        return None
    sections = f"{rule.citations[earlier].section} to {rule.citations[later].section}"
    says = new.comment if old.iri != new.iri else f"The conditions are the same; the section moved from {sections}."
    return TextChange(
        rule=rule.key,
        earlier=str(earlier),
        later=str(later),
        added=list(dict.fromkeys(iri for iri in after if iri not in before)),
        dropped=list(dict.fromkeys(iri for iri in before if iri not in after)),
        unchanged=list(dict.fromkeys(iri for iri in after if iri in before)),
        section_moved=moved,
        says=says,
    )
