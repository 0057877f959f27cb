"""A rule tried on its worked cases: each gives its outcome for its reasons, and each condition is seen in every state."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from faultpath.base.outcomes import Outcome
from faultpath.base.problems import Problem
from faultpath.base.terms import NODE, RULES, short
from faultpath.base.triples import Graph
from faultpath.book.cases import Case, cases
from faultpath.book.rules import DatedText, all_texts, editions, rules, text_conditions
from faultpath.derivation.program import derivations, reference
from faultpath.derivation.run import derive
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.judging.judge import JudgingCache, judge, missing_facts, targets

STATES = frozenset({Outcome.HOLDS, Outcome.FAILS, Outcome.UNDECIDED})


@dataclass(frozen=True)
class Judged:
    """A case in an edition: the text in force and its outcome, every condition met with its outcome, the leaves that fail by IRI,
    and the local names of the facts that people are asked for.
    """

    text: str
    outcome: Outcome
    conditions: frozenset[tuple[str, Outcome]]
    failing: frozenset[str]
    asked: frozenset[str]


@dataclass(frozen=True)
class Trial:
    """What came of trying a rule: how many cases in how many judgements and conditions, and what is wrong, by case or condition."""

    rule: str
    cases: int
    judgements: int
    conditions: int
    problems: tuple[Problem, ...]


@cache
def same_since(edition: int) -> int:
    """The oldest edition from which the same follows: the same derivations over the same tables."""
    return next(e for e in editions() if derivations(e) == derivations(edition) and reference(e) == reference(edition))


@cache
def by_path() -> dict[str, Case]:
    """The worked cases by path."""
    return {case.path: case for case in cases()}


def law_of(case: Case, edition: int) -> Law:
    """What a case is judged by in an edition."""
    return Law(edition, (case.place,) if case.place else (), frozenset(case.practices))


@lru_cache(maxsize=8)
def _derived(path: str, edition: int) -> Graph:
    return derive(read_document(by_path()[path].installation).graph, edition).graph


@cache
def judged(path: str, edition: int) -> Judged:
    """The judgement of a case's rule on the node that the case is about. Raises ValueError where the rule does not speak about it."""
    case = by_path()[path]
    text = law_of(case, edition).book[case.rule].text_in(edition)
    if text is None:
        raise ValueError(f"{case.rule} does not cite {edition}")
    graph = _derived(path, same_since(edition))
    node = NODE + case.about
    if node not in targets(graph, text):
        raise ValueError(f"{case.about} is no {short(text.target)}")
    bench = JudgingCache(graph)
    judgement = judge(bench, text, node)
    leaves = [leaf for part in judgement.parts() for leaf in part.leaves()]
    gaps = [gap for leaf in leaves if leaf.outcome is Outcome.UNDECIDED for gap in leaf.gaps]
    return Judged(
        text=text.iri,
        outcome=judgement.outcome,
        conditions=frozenset((a.condition, a.outcome) for part in judgement.parts() for a in part.every()),
        failing=frozenset(leaf.condition for leaf in leaves if leaf.outcome is Outcome.FAILS),
        asked=frozenset(short(fact.property) for gap in gaps for fact in missing_facts(bench, gap)),
    )


def texts_of(rule: str) -> list[DatedText]:
    """The dated texts of a rule, those of practices and amendments included."""
    return [text for text in all_texts() if text.rule == rule]


def unseen(rule: str) -> dict[str, list[Outcome]]:
    """The states in which no case of a rule shows one of its conditions, by IRI. A condition of another rule is shown by the cases of that one."""
    seen: dict[str, set[Outcome]] = defaultdict(set)
    for case in (case for case in cases() if case.rule == rule):
        for edition in case.editions:
            found = judged(case.path, edition)
            for condition, outcome in found.conditions:
                seen[condition].add(outcome)
    own = {c.iri for text in texts_of(rule) for c in text_conditions(text) if c.iri.startswith(f"{RULES}{rule}/") or not c.iri.startswith(RULES)}
    return {iri: sorted(missing) for iri in sorted(own) if (missing := STATES - seen[iri])}


def try_rule(rule: str, *, every: bool = False) -> Trial:
    """A rule tried on its cases, and pySHACL beside the judge on one case of each outcome of each text, or on `every` one.

    Raises KeyError for a rule that the book does not have.
    """
    rules()[rule]
    own = [case for case in cases() if case.rule == rule]
    problems: list[Problem] = []
    sample: dict[tuple[str, Outcome, str], tuple[Case, int]] = {}
    for case in own:
        for edition in case.editions:
            try:
                found = judged(case.path, edition)
            except ValueError as error:
                problems.append(Problem(case.path, f"It cannot be judged: {error}.", "Expected an edition that the rule cites and a part that it is about."))
                continue
            problems.extend(_unlike(case, edition, found))
            sample[found.text, found.outcome, case.path if every else ""] = case, edition
    problems.extend(_twins(rule, own))
    if not problems:
        for condition, states in unseen(rule).items():
            listed = " or ".join(state.value.replace("_", " ") for state in states)
            problems.append(Problem(condition.removeprefix(RULES), f"No case shows it {listed}.", "Expected a case of each."))
    for case, edition in sample.values():
        problems.extend(_differing(case, edition))
    conditions = {condition.iri for text in texts_of(rule) for condition in text_conditions(text)}
    return Trial(rule, len(own), sum(len(case.editions) for case in own), len(conditions), tuple(problems))


def _unlike(case: Case, edition: int, found: Judged) -> Iterator[Problem]:
    """Where a case does not come to what its file says."""
    if found.outcome is not case.outcome:
        yield Problem(case.path, f"Under {edition} it comes to {found.outcome.value}.", f"Expected {case.outcome.value}.")
    missing = set(case.because) - {short(iri) for iri in found.failing}
    if missing:
        yield Problem(
            case.path, f"Under {edition} it does not fail by {', '.join(sorted(missing))}.", f"Failing: {', '.join(map(short, sorted(found.failing)))}."
        )
    if case.asks and set(case.asks) != found.asked:
        yield Problem(case.path, f"Under {edition} it asks for {', '.join(sorted(found.asked)) or 'nothing'}.", f"Expected {', '.join(case.asks)}.")


def _twins(rule: str, own: list[Case]) -> Iterator[Problem]:
    """Where a rule lacks a case of an outcome, or a remedy its cured twin."""
    for outcome in sorted(STATES - {case.outcome for case in own}):
        yield Problem(rule, f"No case comes to {outcome.value}.", "Expected one at least.")
    paths = {case.path for case in own}
    for case in own:
        if case.path.endswith(".cured.json") and case.path.removesuffix(".cured.json") + ".json" not in paths:
            yield Problem(case.path, "No failing case has this name without .cured.", "Expected one beside it.")


def _differing(case: Case, edition: int) -> Iterator[Problem]:
    from faultpath.judging.reference import differences  # the engine is slow to import and needed for verifying only

    for difference in differences(assess(read_document(case.installation), law_of(case, edition), (case.rule,))):
        found = f"Under {edition} the judge says {difference.judge} of {short(difference.node)} and pySHACL {difference.reference}."
        yield Problem(case.path, found, "Expected both to agree.")
