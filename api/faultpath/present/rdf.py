"""An assessed installation as one RDF dataset: what was said, what follows, what was found, and who decided.

Findings are EARL assertions with our condition tree; failures are also SHACL validation results. Nothing is a blank node.
"""

from collections.abc import Iterator
from itertools import count

import pyoxigraph as ox

import faultpath
from faultpath.answers.reasons import conditions_of, missing_fact
from faultpath.answers.record import Record, new_record
from faultpath.base.outcomes import Assessment, Outcome
from faultpath.base.terms import BASE, CODE, DCT, EARL, EDITIONS, GRAPHS, PREFIXES, PROV, RDF, RULES, SH, TYPE
from faultpath.base.triples import TextLiteral, Triple, to_ox_triple
from faultpath.book.rules import Leaf, Rule
from faultpath.judging.assessment import Assessed
from faultpath.judging.judge import Judgement, missing_facts

ASSERTED, DERIVED, FINDINGS, PROVENANCE = (GRAPHS + name for name in ("asserted", "derived", "findings", "provenance"))
MEDIA = {
    "text/turtle": ox.RdfFormat.TURTLE,
    "application/ld+json": ox.RdfFormat.JSON_LD,
    "application/trig": ox.RdfFormat.TRIG,
    "application/n-quads": ox.RdfFormat.N_QUADS,
}
_EARL = {Outcome.HOLDS: "passed", Outcome.FAILS: "failed", Outcome.UNDECIDED: "cantTell", Outcome.NOT_APPLICABLE: "inapplicable"}
_CODE = {Outcome.HOLDS: "Holds", Outcome.FAILS: "Fails", Outcome.UNDECIDED: "Undecided", Outcome.NOT_APPLICABLE: "NotApplicable"}


def as_dataset(assessed: Assessed) -> dict[str, list[Triple]]:
    """The four named graphs of an assessed installation, by graph IRI."""
    record = new_record(assessed.installation, assessed.law)
    decision = f"{BASE}decisions/{record.decision}"
    return {
        ASSERTED: list(assessed.derived.asserted),
        DERIVED: list(_derived(assessed, decision)),
        FINDINGS: list(_findings(assessed, decision)),
        PROVENANCE: list(_provenance(record, decision)),
    }


def write(assessed: Assessed, media: str) -> str:
    """The findings graph in Turtle or JSON-LD, or the whole dataset in TriG or N-Quads."""
    dataset = as_dataset(assessed)
    prefixes = {name: iri for name, iri in PREFIXES.items() if name != "node"}
    if media in ("text/turtle", "application/ld+json"):
        triples = [to_ox_triple(t) for t in dict.fromkeys([*dataset[FINDINGS], *dataset[PROVENANCE]])]
        return _decoded(ox.serialize(triples, format=MEDIA[media], prefixes=prefixes))
    quads = [_quad(triple, name) for name, triples in dataset.items() for triple in dict.fromkeys(triples)]
    return _decoded(ox.serialize(quads, format=MEDIA[media], prefixes=prefixes))


def _quad(triple: Triple, graph: str) -> ox.Quad:
    subject, predicate, obj = to_ox_triple(triple)
    return ox.Quad(subject, predicate, obj, ox.NamedNode(graph))


def _decoded(data: bytes | None) -> str:
    return "" if data is None else data.decode()


def _statement(name: str, triple: Triple) -> Iterator[Triple]:
    yield name, TYPE, RDF + "Statement"
    yield name, RDF + "subject", triple[0]
    yield name, RDF + "predicate", triple[1]
    yield name, RDF + "object", triple[2]


def _derived(assessed: Assessed, decision: str) -> Iterator[Triple]:
    """The derived triples, each with the derivation that made it and its premises."""
    names = (f"{decision}/derived/{number}" for number in count(1))
    premise_names: dict[Triple, str] = {}
    because = assessed.derived.because
    for triple in because:
        premise_names[triple] = next(names)
    for triple, reason in because.items():
        yield triple
        yield from _statement(premise_names[triple], triple)
        yield premise_names[triple], PROV + "wasGeneratedBy", reason.derivation
        for premise in reason.premises:
            if premise not in premise_names:
                premise_names[premise] = next(names)
                yield from _statement(premise_names[premise], premise)
            yield premise_names[triple], PROV + "wasDerivedFrom", premise_names[premise]


def _findings(assessed: Assessed, decision: str) -> Iterator[Triple]:
    report = f"{decision}/report"
    yield report, TYPE, SH + "ValidationReport"
    yield report, SH + "conforms", all(j.outcome is not Outcome.FAILS for _, j in assessed.judgements)
    for number, (rule, judgement) in enumerate(assessed.judgements, 1):
        name = f"{decision}/findings/{number}"
        yield name, TYPE, EARL + "Assertion"
        yield name, EARL + "subject", judgement.about
        yield name, EARL + "test", RULES + rule.key
        yield name, EARL + "assertedBy", f"{BASE}software"
        yield name, EARL + "mode", EARL + "automatic"
        yield name, EARL + "result", f"{name}/result"
        yield f"{name}/result", TYPE, EARL + "TestResult"
        yield f"{name}/result", EARL + "outcome", EARL + _EARL[judgement.outcome]
        yield f"{name}/result", CODE + "outcome", CODE + _CODE[judgement.outcome]
        for index, part in enumerate(judgement.parts(), 1):
            yield f"{name}/result", CODE + "part", f"{name}/conditions/{index}"
            yield from _conditions(assessed, part, f"{name}/conditions/{index}")
        if judgement.outcome is Outcome.FAILS:
            yield report, SH + "result", f"{name}/violation"
            yield from _violation(rule, judgement, f"{name}/violation")


def _violation(rule: Rule, judgement: Judgement, name: str) -> Iterator[Triple]:
    named = conditions_of(judgement.text)
    yield name, TYPE, SH + "ValidationResult"
    yield name, SH + "focusNode", judgement.about
    yield name, SH + "sourceShape", judgement.text.iri
    yield name, SH + "sourceConstraintComponent", SH + "OrConstraintComponent"
    yield name, SH + "resultSeverity", SH + "Violation"
    yield name, SH + "resultMessage", TextLiteral(f"{rule.label}: not so.")
    for part in judgement.parts():
        for leaf in part.leaves():
            condition = named[leaf.condition]
            if leaf.outcome is Outcome.FAILS and isinstance(condition, Leaf):
                yield name, SH + "resultMessage", TextLiteral(condition.message)


def _conditions(assessed: Assessed, assessment: Assessment, name: str) -> Iterator[Triple]:
    yield name, TYPE, CODE + "Assessment"
    yield name, CODE + "condition", assessment.condition
    yield name, CODE + "about", assessment.about
    yield name, CODE + "outcome", CODE + _CODE[assessment.outcome]
    for index, triple in enumerate(assessment.evidence, 1):
        yield name, CODE + "evidence", f"{name}/evidence/{index}"
        yield from _statement(f"{name}/evidence/{index}", triple)
    if assessment.outcome is Outcome.UNDECIDED:
        facts = dict.fromkeys(fact for gap in assessment.gaps for fact in missing_facts(assessed.bench, gap))
        for index, fact in enumerate(facts, 1):
            missing = f"{name}/missing/{index}"
            yield name, CODE + "missing", missing
            yield missing, TYPE, CODE + "MissingFact"
            yield missing, CODE + "asksOf", fact.node
            yield missing, CODE + "asksFor", fact.property
            yield missing, CODE + "asks", TextLiteral(missing_fact(fact).ask)
    for index, part in enumerate(assessment.parts, 1):
        yield name, CODE + "part", f"{name}/{index}"
        yield from _conditions(assessed, part, f"{name}/{index}")


def _provenance(record: Record, decision: str) -> Iterator[Triple]:
    yield decision, TYPE, PROV + "Activity"
    yield decision, PROV + "used", f"{BASE}digests/graph/{record.graph_digest}"
    yield decision, PROV + "used", f"{BASE}digests/book/{record.book_digest}"
    yield decision, PROV + "wasAssociatedWith", f"{BASE}software"
    yield decision, PROV + "generated", f"{decision}/report"
    yield decision, DCT + "date", TextLiteral(record.time.isoformat())
    if record.edition is not None:
        yield decision, CODE + "edition", EDITIONS + record.edition
    yield f"{BASE}software", TYPE, PROV + "SoftwareAgent"
    yield f"{BASE}software", DCT + "identifier", TextLiteral(f"faultpath {faultpath.__version__}")
