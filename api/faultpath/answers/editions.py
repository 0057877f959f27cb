"""One installation under several editions and places: outcome by rule and node, and what the texts changed."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

from pydantic import Field

from faultpath.answers.findings import check_rules, known_nodes
from faultpath.answers.reasons import MissingFact, missing_fact
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.book.rules import DatedText, Rule, text_conditions
from faultpath.derivation.foundations import foundations
from faultpath.document.installation import Installation, id_of
from faultpath.judging.assessment import Assessed, Law, assess


class EditionOutcome(Answer):
    """What a rule says about a node under one law: an edition, and a place where its amendments apply."""

    edition: str
    place: str | None = Field(description="Place whose amendments apply; null for the edition as published.")
    outcome: str = Field(description="holds, fails, undecided, not_applicable, not_encoded or withdrawn.")
    section: str | None = Field(description="Where that edition prints the rule; null where it was not checked.")


class ComparisonRow(Answer):
    """One rule on one node under the laws asked for."""

    rule: str
    about: str
    outcomes: list[EditionOutcome]
    differs: bool = Field(description="Whether the outcome is not the same under all laws that answer.")


class TextChange(Answer):
    """What changed in a rule from one of the editions asked for to the next, or by what a place made of it."""

    rule: str
    earlier: str
    later: str
    place: str | None = Field(description="Place whose amendment makes the later text; null for a change between editions as published.")
    added: list[str] = Field(description="Conditions of the later text that the earlier one does not have, by IRI.")
    dropped: list[str] = Field(description="Conditions of the earlier text that the later one does not have, by IRI.")
    unchanged: list[str] = Field(description="Conditions that both share, by IRI.")
    section_moved: bool = Field(description="Whether the section that prints the rule is another.")
    rests_on: list[str] = Field(
        description="Derivations and tables of the later edition, by IRI, that the conditions rest on and that the earlier one has otherwise."
    )
    says: str = Field(description="The change in one sentence.")


class ComparisonAnswer(Answer):
    """The table of outcomes and the changes of the texts behind it."""

    record: Record
    caution: str
    editions: list[str]
    places: list[str]
    open_lists: list[MissingFact] = Field(description="What is there was not stated in full: rules about further parts judged nothing.")
    rows: list[ComparisonRow]
    changes: list[TextChange]


def compare(
    installation: Installation, laws: Sequence[Law], only: Collection[str] = (), about: Collection[str] = (), known: Assessed | None = None
) -> ComparisonAnswer:
    """Judge an installation under each law, editions as published before what places made of them, oldest first.

    `known` is an assessment of the same installation, of which what stands under other laws is used again. Raises BadInput for an unknown rule or node.
    """
    columns = sorted(laws, key=lambda law: (law.places, law.edition))
    for law in columns:
        check_rules(law, only)
    nodes = known_nodes(installation, about)
    outcomes: dict[tuple[str, str], dict[Law, str]] = {}
    for law in columns:
        known = assess(installation, law, only, nodes, known)
        for rule, judgement in known.judgements:
            outcomes.setdefault((rule.key, judgement.about), {})[law] = judgement.outcome.value
    rows = [_row(key, node, found, columns) for (key, node), found in outcomes.items()]
    return ComparisonAnswer(
        record=new_record(installation, None),
        caution=CAUTION,
        editions=list(dict.fromkeys(str(law.edition) for law in columns)),
        places=list(dict.fromkeys(law.places[-1] for law in columns if law.places)),
        open_lists=[missing_fact(gap) for gap in known.open_lists()] if known else [],
        rows=rows,
        changes=[change for change in _changes(tuple(columns)) if not only or change.rule in only],
    )


def _row(key: str, node: str, found: dict[Law, str], columns: Sequence[Law]) -> ComparisonRow:
    outcomes = [_outcome(law, law.book.get(key), found.get(law)) for law in columns]
    return ComparisonRow(rule=key, about=id_of(node), outcomes=outcomes, differs=len(set(found.values())) > 1)


def _outcome(law: Law, rule: Rule | None, found: str | None) -> EditionOutcome:
    gone = rule is not None and rule.is_withdrawn_in(law.edition)
    citation = rule.citations.get(law.edition) if rule is not None else None
    return EditionOutcome(
        edition=str(law.edition),
        place=law.places[-1] if law.places else None,
        outcome=found or ("withdrawn" if gone else "not_applicable" if citation else "not_encoded"),
        section=citation.section if citation else None,
    )


@lru_cache(maxsize=64)
def _changes(columns: tuple[Law, ...]) -> tuple[TextChange, ...]:
    return tuple(_changed(columns))


def _changed(columns: Sequence[Law]) -> Iterator[TextChange]:
    """What changed from edition to edition as published, then what each place made of the editions."""
    published = [law for law in columns if not law.places]
    for earlier, later in pairwise(published):
        for rule in later.book.values():
            if (change := text_change(rule, earlier.edition, later.edition)) is not None:
                yield change
    for law in columns:
        if not law.places:
            continue
        base = replace(law, places=()).book
        for rule in law.book.values():
            if (change := _amended(base.get(rule.key), rule, law)) is not None:
                yield change


def _amended(base: Rule | None, rule: Rule, law: Law) -> TextChange | None:
    """What a place made of a rule in an edition; None where it is as published."""
    new, old = rule.text_in(law.edition), base.text_in(law.edition) if base else None
    if new is old:
        return None
    said = [overlay.says for overlay in rule.overlays if overlay.place and law.edition in overlay.citations]
    before, after = _conditions(old), _conditions(new)
    year = str(law.edition)
    return TextChange(
        rule=rule.key,
        earlier=year,
        later=year,
        place=law.places[-1],
        added=[iri for iri in after if iri not in before],
        dropped=[iri for iri in before if iri not in after],
        unchanged=[iri for iri in after if iri in before],
        section_moved=False,
        rests_on=[],
        says=" ".join(said) or f"{rule.requires}",
    )


def _conditions(text: DatedText | None) -> list[str]:
    return [] if text is None else list(dict.fromkeys(c.iri for c in text_conditions(text) if c.iri != text.iri))


def text_change(rule: Rule, earlier: int, later: int) -> TextChange | None:
    """What changed in a rule between two editions; None where nothing did, or where one of them was not checked."""
    old, new = rule.text_in(earlier), rule.text_in(later)
    if old is None or new is None:
        return None
    found = difference(rule, earlier, later)
    return found if old.iri != new.iri or found.section_moved or found.rests_on else None


def difference(rule: Rule, earlier: int, later: int) -> TextChange:
    """The texts of a rule in two editions that it cites, compared as sets of conditions."""
    old, new = rule.in_force[earlier], rule.in_force[later]
    before, after = _conditions(old), _conditions(new)
    sections = [rule.citations[year].section for year in (earlier, later)]
    moved = sections[0] != sections[1]
    under, over = foundations(old, earlier), foundations(new, later)
    dated = range(min(earlier, later) + 1, max(earlier, later) + 1)
    found = {**under, **over} if later > earlier else {**over, **under}
    other = sorted((iri, what) for key, (iri, what) in found.items() if int(iri.rsplit("/", 1)[-1]) in dated and under.get(key) != over.get(key))
    if old.iri != new.iri:
        says = new.comment if later > earlier else old.comment
    else:
        says = ("The conditions read the same" if other else "The conditions are the same") + (
            f"; the section moved from {sections[0]} to {sections[1]}." if moved else "."
        )
    if other:
        says += " What they rest on changed: " + " ".join(what for _, what in other)
    return TextChange(
        rule=rule.key,
        earlier=str(earlier),
        later=str(later),
        place=None,
        added=[iri for iri in after if iri not in before],
        dropped=[iri for iri in before if iri not in after],
        unchanged=[iri for iri in after if iri in before],
        section_moved=moved,
        rests_on=[iri for iri, _ in other],
        says=says,
    )
