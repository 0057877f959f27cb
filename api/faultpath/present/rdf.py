"""An assessed installation as one RDF dataset: what was said, what follows, what was found, and who decided.

Findings are EARL assertions with our condition tree; failures are also SHACL validation results (sh:Violation), and so is what cannot be
decided (sh:Warning): a report conforms only where every finding is decided and none fails. Nothing is a blank node. Parts are named within
their installation and graphs within their decision, so that several answers can stand in one store.
"""

from collections.abc import Iterable, Iterator
from itertools import count

import pyoxigraph as ox

import faultpath
from faultpath.answers.reasons import blame, missing_fact, undecided
from faultpath.answers.record import Record, new_record
from faultpath.base.outcomes import Assessment, Outcome
from faultpath.base.terms import BASE, CODE, DCT, EARL, EDITIONS, NODE, PREFIXES, PROV, RDF, RULES, SH, TYPE
from faultpath.base.triples import DateTimeLiteral, TextLiteral, Triple, to_ox_triple
from faultpath.judging.assessment import Assessed
from faultpath.judging.judge import Judgement, missing_facts

ASSERTED, DERIVED, FINDINGS, PROVENANCE = "asserted", "derived", "findings", "provenance"
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
    parts = f"{NODE}{record.graph_digest}/"
    graphs: dict[str, Iterable[Triple]] = {
        ASSERTED: assessed.derived.asserted,
        DERIVED: _derived(assessed, decision),
        FINDINGS: _findings(assessed, decision),
        PROVENANCE: _provenance(record, decision),
    }
    return {f"{decision}/{name}": [_within(parts, triple) for triple in triples] for name, triples in graphs.items()}


def _within(parts: str, triple: Triple) -> Triple:
    """A triple with parts of the installation named within it; what the document names by a full IRI keeps that name."""
    subject, predicate, obj = triple
    if isinstance(obj, str) and not isinstance(obj, TextLiteral) and obj.startswith(NODE):
        obj = parts + obj.removeprefix(NODE)
    return parts + subject.removeprefix(NODE) if subject.startswith(NODE) else subject, predicate, obj


def write(assessed: Assessed, media: str) -> str:
    """The findings graph in Turtle or JSON-LD, or the whole dataset in TriG or N-Quads."""
    dataset = as_dataset(assessed)
    prefixes = {name: iri for name, iri in PREFIXES.items() if name != "node"}
    if media in ("text/turtle", "application/ld+json"):
        triples = [to_ox_triple(t) for name, graph in dataset.items() if name.endswith((FINDINGS, PROVENANCE)) for t in dict.fromkeys(graph)]
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
    open_ended = any(judgement.outcome in (Outcome.FAILS, Outcome.UNDECIDED) for _, judgement in assessed.judgements) or bool(assessed.open_lists())
    yield report, SH + "conforms", not open_ended
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
        if judgement.outcome in (Outcome.FAILS, Outcome.UNDECIDED):
            fails = judgement.outcome is Outcome.FAILS
            said = blame(judgement) if fails else [f"{rule.label}: cannot be told yet.", *_asked(assessed, judgement)]
            yield report, SH + "result", f"{name}/shacl"
            yield from _result(f"{name}/shacl", judgement.about, "Violation" if fails else "Warning", said)
            yield f"{name}/shacl", SH + "sourceShape", judgement.text.iri
    for number, gap in enumerate(assessed.open_lists(), 1):
        name = f"{decision}/open-lists/{number}"
        yield report, SH + "result", name
        yield from _result(name, gap.node, "Warning", [missing_fact(gap).ask])


def _asked(assessed: Assessed, judgement: Judgement) -> list[str]:
    return list(dict.fromkeys(missing_fact(gap).ask for gap in undecided(assessed.bench, judgement)[0]))


def _result(name: str, node: str, severity: str, messages: Iterable[str]) -> Iterator[Triple]:
    yield name, TYPE, SH + "ValidationResult"
    yield name, SH + "focusNode", node
    yield name, SH + "sourceConstraintComponent", SH + "OrConstraintComponent"
    yield name, SH + "resultSeverity", SH + severity
    for message in messages:
        yield name, SH + "resultMessage", TextLiteral(message)


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
    yield decision, DCT + "date", DateTimeLiteral(record.time.isoformat())
    if record.edition is not None:
        yield decision, CODE + "edition", EDITIONS + record.edition
    yield f"{BASE}software", TYPE, PROV + "SoftwareAgent"
    yield f"{BASE}software", DCT + "identifier", TextLiteral(f"faultpath {faultpath.__version__}")
