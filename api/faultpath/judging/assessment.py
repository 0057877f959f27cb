"""An installation under one edition: everything derived, every rule that answers judged on every node it is about."""

from collections.abc import Collection
from dataclasses import dataclass

from faultpath.base.outcomes import Gap, Outcome
from faultpath.base.terms import COMPLETE, EQUIPMENT, INSTALLATION, RUNS, SOURCES
from faultpath.book.overlays import book
from faultpath.book.rules import DatedText, Rule
from faultpath.book.vocabulary import vocabulary
from faultpath.derivation.run import Derived, derive
from faultpath.document.installation import Installation
from faultpath.judging.judge import Judgement, JudgingCache, judge, targets
from faultpath.judging.rejudging import bench_after


@dataclass(frozen=True)
class Law:
    """What an installation is judged by: an edition, the places whose amendments apply (the widest first), chosen practices.

    `chosen_by` says what chose the edition where the request did not name it.
    """

    edition: int
    places: tuple[str, ...] = ()
    practices: frozenset[str] = frozenset()
    chosen_by: str = ""

    @property
    def book(self) -> dict[str, Rule]:
        """The rules by key, with what the places and the practices make of them."""
        return book(self.practices, self.places)


@dataclass(frozen=True)
class Assessed:
    """The judgements of one installation under one law, in the order of the book.

    `not_encoded` are the rules that do not answer for the edition because nobody checked it.
    """

    installation: Installation
    law: Law
    derived: Derived
    bench: JudgingCache
    judgements: tuple[tuple[Rule, Judgement], ...]
    not_encoded: tuple[str, ...]

    def open_lists(self) -> tuple[Gap, ...]:
        """The lists of the premises that nobody stated complete: rules about what they may hold judged nothing."""
        graph, properties = self.derived.asserted, vocabulary().properties
        lists = [iri for iri in (SOURCES, EQUIPMENT, RUNS) if properties[iri].kind == "list"]
        return tuple(Gap(node, iri) for node in graph.instances(INSTALLATION) for iri in lists if (node, COMPLETE, iri) not in graph)

    def outcomes(self) -> frozenset[Outcome]:
        """The outcomes that count for the whole: what cannot fail leaves nothing open, and a list that is open leaves the whole undecided."""
        counted = (judgement.outcome for _, judgement in self.judgements if not judgement.cannot_fail)
        return frozenset([*counted, *(Outcome.UNDECIDED for _ in self.open_lists())])

    def texts(self) -> list[DatedText]:
        """The dated texts that were judged, each once."""
        return list({judgement.text.iri: judgement.text for _, judgement in self.judgements}.values())


def assess(installation: Installation, law: Law, only: Collection[str] = (), about: Collection[str] = (), reuse: Assessed | None = None) -> Assessed:
    """Judge an installation under a law; `only` narrows it to rules by key, `about` to nodes by IRI.

    `reuse` is the assessment of a similar installation, or under another law, of which what cannot have changed is used again.
    """
    derived = derive(installation.graph, law.edition, reuse.derived.memory if reuse else None)
    bench = bench_after(reuse.bench, derived.graph) if reuse else JudgingCache(derived.graph)
    judgements: list[tuple[Rule, Judgement]] = []
    not_encoded: list[str] = []
    for rule in law.book.values():
        if (only and rule.key not in only) or rule.is_withdrawn_in(law.edition):
            continue
        text = rule.text_in(law.edition)
        if text is None:
            not_encoded.append(rule.key)
            continue
        judgements.extend((rule, judge(bench, text, node)) for node in targets(derived.graph, text) if not about or node in about)
    return Assessed(installation, law, derived, bench, tuple(judgements), tuple(not_encoded))
