"""What holds, what fails, what cannot be decided and which fact would decide it, each with the reason."""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from functools import cache
from typing import Literal

from pydantic import Field

from faultpath.answers.reasons import MissingFact, conditions_of, is_exception, missing_fact, sentence, undecided
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.base.outcomes import Assessment, Outcome
from faultpath.base.problems import BadInput, Problem, nearest
from faultpath.base.terms import NODE, short
from faultpath.base.triples import Term, Triple, decimal_text, is_literal
from faultpath.book.rules import Condition, Leaf, Rule
from faultpath.derivation.program import all_derivations
from faultpath.derivation.run import Because
from faultpath.document.installation import Installation, id_of
from faultpath.judging.assessment import Assessed, Law, assess
from faultpath.judging.judge import Judgement

TripleText = tuple[str, str, str]
Detail = Literal["matters", "all"]


class ConditionResult(Answer):
    """One condition of a rule on the node, with its parts or, for a leaf, what was met on its path."""

    condition: str = Field(description="IRI of the condition; it opens the text that states it.")
    outcome: Outcome = Field(description="What the condition came to.")
    says: str = Field(description="What was found, in one sentence.")
    combines: Literal["all", "any", "not"] | None = Field(description="How the parts combine; null for a leaf.")
    exception: bool = Field(description="Whether this branch is an allowance rather than the main requirement.")
    outside: bool = Field(description="Whether the rule does not apply where this condition holds; its failing is no fault.")
    path: str | None = Field(description="The path that a leaf walks from the node.")
    values: list[str] = Field(description="The values met at the end of the path.")
    evidence: list[TripleText] = Field(description="The triples that the leaf rests on.")
    parts: list["ConditionResult"] = Field(description="The parts of the condition.")


class CitationText(Answer):
    """Where the edition prints the rule."""

    edition: str
    section: str


class Finding(Answer):
    """One rule on one node."""

    rule: str = Field(description="Key of the rule.")
    about: str = Field(description="Id of the node that the rule is about.")
    outcome: Outcome = Field(description="holds, fails, undecided or not_applicable.")
    says: str = Field(description="The finding in one sentence.")
    citation: CitationText = Field(description="Where the edition prints the rule.")
    standing: str = Field(description="How far the content was checked: verified, partly or memory.")
    contested: str | None = Field(description="Where the field reads the rule in two ways; the strict reading is judged unless a practice was chosen.")
    overlays: list[str] = Field(description="Keys of the practices and amendments whose text was judged instead of the rule's own.")
    leaves_out: list[str] = Field(description="Conditions of the printed rule that are not covered: the rule is judged without them.")
    why: ConditionResult | None = Field(description="The condition tree; null where detail was not asked for.")
    cannot_fail: bool = Field(description="Whether only it is open whether the rule applies: what it requires is met, so nothing is asked.")
    missing: list[MissingFact] = Field(description="The facts that would decide it.")
    deciding: list[list[int]] = Field(description="Smallest sets of missing facts, by position, that can decide it by themselves.")
    remedies: list[str] = Field(description="Keys of the remedies that cure a failing condition.")


class DerivedTriple(Answer):
    """A triple of the evidence that nobody stated, and what it follows from."""

    triple: TripleText
    derivation: str = Field(description="IRI of the dated derivation.")
    says: str = Field(description="What the derivation concludes.")
    premises: list[TripleText]


class Summary(Answer):
    """How many findings came to each outcome, and which rules do not answer for the edition."""

    holds: int
    fails: int
    undecided: int
    not_applicable: int
    not_encoded: list[str] = Field(description="Rules that nobody checked for this edition.")


class FindingsAnswer(Answer):
    """Every rule in force on every node it is about."""

    record: Record
    caution: str
    summary: Summary
    open_lists: list[MissingFact] = Field(description="Lists that nobody stated in full: rules about further parts judged nothing, so the whole is undecided.")
    findings: list[Finding]
    derivations: list[DerivedTriple] = Field(description="What the derived triples of the evidence follow from, each once.")
    verified: bool | None = Field(description="True if the reference engine agreed; null if it was not asked.")


def answer_findings(assessed: Assessed, *, detail: Detail = "matters", verified: bool | None = None) -> FindingsAnswer:
    """The findings of an assessed installation. Trees are given for what fails or is undecided, with `all` for everything."""
    findings, evidence = [], dict[Triple, None]()
    for rule, judgement in assessed.judgements:
        shown = detail == "all" or judgement.outcome in (Outcome.FAILS, Outcome.UNDECIDED)
        findings.append(finding_of(assessed, rule, judgement, shown))
        if shown:
            evidence.update(dict.fromkeys(judgement.evidence()))
    return FindingsAnswer(
        record=new_record(assessed.installation, assessed.law),
        caution=CAUTION,
        summary=summary_of(assessed),
        open_lists=[missing_fact(gap) for gap in assessed.open_lists()],
        findings=findings,
        derivations=list(derivations_of(assessed.derived.because, evidence)),
        verified=verified,
    )


def summary_of(assessed: Assessed) -> Summary:
    """How many findings came to each outcome."""
    counts = Counter(judgement.outcome for _, judgement in assessed.judgements)
    return Summary(
        holds=counts[Outcome.HOLDS],
        fails=counts[Outcome.FAILS],
        undecided=counts[Outcome.UNDECIDED],
        not_applicable=counts[Outcome.NOT_APPLICABLE],
        not_encoded=list(assessed.not_encoded),
    )


def check_rules(law: Law, only: Collection[str]) -> None:
    """Refuse keys that no rule has. Raises BadInput."""
    for index, key in enumerate(only):
        if key not in law.book:
            raise BadInput([Problem(f"/rules/{index}", f"No rule has the key {key!r}.", "Expected keys of the book.", nearest(key, law.book))])


def assess_request(installation: Installation, law: Law, only: Collection[str] = (), about: Collection[str] = ()) -> Assessed:
    """Assess after checking that the rules and nodes asked about exist. Raises BadInput."""
    check_rules(law, only)
    return assess(installation, law, only, known_nodes(installation, about))


def known_nodes(installation: Installation, about: Collection[str]) -> set[str]:
    """The IRIs of the parts asked about. Raises BadInput for an id that the document does not have."""
    known = {id_of(node): node for node in installation.graph.subjects()} if about else {}
    for index, identifier in enumerate(about):
        if identifier not in known:
            raise BadInput([Problem(f"/about/{index}", f"Nothing has the id {identifier!r}.", "Expected ids of the document.", nearest(identifier, known))])
    return {known[identifier] for identifier in about}


# One finding


def finding_of(assessed: Assessed, rule: Rule, judgement: Judgement, shown: bool) -> Finding:
    """A judgement as a finding, with its condition tree if it is to be shown."""
    citation = rule.citations[assessed.law.edition]
    outcome = judgement.outcome
    gaps, sets = undecided(assessed.bench, judgement) if outcome is Outcome.UNDECIDED and not judgement.cannot_fail else ((), ())
    missing = [missing_fact(gap) for gap in gaps]
    failing = {leaf.condition for part in judgement.parts() for leaf in part.leaves() if leaf.outcome is Outcome.FAILS}
    return Finding(
        rule=rule.key,
        about=id_of(judgement.about),
        outcome=outcome,
        says=_says(judgement, rule, missing),
        citation=CitationText(edition=str(citation.edition), section=citation.section),
        standing=citation.standing,
        contested=rule.contested or None,
        overlays=[o.key for o in rule.overlays if judgement.text in o.texts.get(rule.key, ())],
        leaves_out=list(rule.leaves_out),
        why=_tree(judgement) if shown else None,
        cannot_fail=judgement.cannot_fail,
        missing=missing,
        deciding=[sorted(gaps.index(gap) for gap in chosen) for chosen in sets],
        remedies=[r.key for r in rule.remedies if outcome is Outcome.FAILS and failing.intersection(r.cures)],
    )


def said_of(assessed: Assessed, rule: Rule, judgement: Judgement) -> str:
    """What the finding of a judgement says."""
    gaps = undecided(assessed.bench, judgement)[0] if judgement.outcome is Outcome.UNDECIDED and not judgement.cannot_fail else ()
    return _says(judgement, rule, [missing_fact(gap) for gap in gaps])


def _says(judgement: Judgement, rule: Rule, missing: list[MissingFact]) -> str:
    return f"{id_of(judgement.about)}: {sentence(judgement, rule, missing)}"


# The tree


def _tree(judgement: Judgement) -> ConditionResult:
    named = conditions_of(judgement.text)
    outside = [_condition(part, named).model_copy(update={"outside": True}) for part in judgement.outside]
    requirement = [_condition(judgement.requirement, named)] if judgement.requirement is not None else []
    parts = [*outside, *requirement]
    if len(parts) == 1:
        return parts[0]
    return ConditionResult(
        condition=judgement.text.iri,
        outcome=judgement.outcome,
        says="Whether the rule applies, and whether its requirement is met.",
        combines="all",
        exception=False,
        outside=False,
        path=None,
        values=[],
        evidence=[],
        parts=parts,
    )


def _condition(assessment: Assessment, named: dict[str, Condition]) -> ConditionResult:
    condition = named[assessment.condition]
    leaf = condition if isinstance(condition, Leaf) else None
    return ConditionResult(
        condition=condition.iri,
        outcome=assessment.outcome,
        says=_said(condition, assessment.outcome),
        combines=None if isinstance(condition, Leaf) else condition.combine,
        exception=is_exception(condition),
        outside=False,
        path=None if leaf is None else " / ".join(short(step.property) for step in leaf.path),
        values=[shown(value) for value in assessment.values],
        evidence=[triple_text(triple) for triple in assessment.evidence],
        parts=[_condition(part, named) for part in assessment.parts],
    )


def _said(condition: Condition, outcome: Outcome) -> str:
    if outcome is Outcome.FAILS and isinstance(condition, Leaf):
        return condition.message
    return {Outcome.FAILS: f"Not so: {condition.label}.", Outcome.UNDECIDED: f"Not known: {condition.label}."}.get(outcome, f"{condition.label}.")


def shown(term: Term) -> str:
    """A term as people read it."""
    if isinstance(term, bool):
        return str(term).lower()
    if isinstance(term, int):
        return str(term)
    if not isinstance(term, str):
        return decimal_text(term)
    return str(term) if is_literal(term) else id_of(term) if term.startswith(NODE) else short(term)


def triple_text(triple: Triple) -> TripleText:
    """A triple as people read it."""
    return shown(triple[0]), shown(triple[1]), shown(triple[2])


@cache
def _derivation_says() -> dict[str, str]:
    return {d.iri: d.says for d in all_derivations()}


def derivations_of(because: dict[Triple, Because], evidence: Iterable[Triple]) -> Iterator[DerivedTriple]:
    """What each derived triple follows from, down to what was stated."""
    waiting, seen = list(evidence), set[Triple]()
    while waiting:
        triple = waiting.pop(0)
        reason = because.get(triple)
        if reason is None or triple in seen:
            continue
        seen.add(triple)
        yield DerivedTriple(
            triple=triple_text(triple),
            derivation=reason.derivation,
            says=_derivation_says().get(reason.derivation, "A member of a class is a member of the classes above it."),
            premises=[triple_text(premise) for premise in reason.premises],
        )
        waiting.extend(reason.premises)
