"""An assessed installation as RDF: valid in rdflib, EARL and SHACL terms used as W3C defines them, nothing blank."""

import json
from collections import Counter
from pathlib import Path

import pytest
from rdflib import Dataset, Graph, URIRef
from rdflib.namespace import DCTERMS, RDF, SH, XSD

from faultpath.answers.reasons import blame
from faultpath.base.outcomes import Outcome
from faultpath.base.terms import CODE, EARL, INST, NODE
from faultpath.book.cases import Case, cases
from faultpath.book.loader import load_book
from faultpath.document.installation import id_of, read_document
from faultpath.judging.assessment import Law, assess
from faultpath.judging.trial import law_of
from faultpath.present.rdf import MEDIA, as_dataset, write

HOUSE = Path(__file__).resolve().parent.parent / "examples" / "alder-row-outdoor-disconnect.json"
# rdflib's own parsers still use what rdflib deprecates.
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning:rdflib")
ASSESSED = assess(read_document(json.loads(HOUSE.read_text())), Law(2020))
FORMATS = {"text/turtle": "turtle", "application/ld+json": "json-ld"}


@pytest.mark.parametrize("media", FORMATS)
def test_the_report_reads_in_rdflib_and_comes_to_the_same_outcomes(media: str) -> None:
    report = Graph().parse(data=write(ASSESSED, media), format=FORMATS[media])
    results = list(report.subjects(RDF.type, SH.ValidationResult))
    for severity, outcome in ((SH.Violation, Outcome.FAILS), (SH.Warning, Outcome.UNDECIDED)):
        expected = sorted((j.text.iri, id_of(j.about)) for _, j in ASSESSED.judgements if j.outcome is outcome)
        found = [r for r in results if report.value(r, SH.resultSeverity) == severity]
        named = [(str(report.value(r, SH.sourceShape)), str(report.value(r, SH.focusNode)).removeprefix(NODE).partition("/")[2]) for r in found]
        assert sorted(named) == expected
    told = Counter(str(outcome).removeprefix(EARL) for outcome in report.objects(None, URIRef(EARL + "outcome")))
    words = {Outcome.HOLDS: "passed", Outcome.FAILS: "failed", Outcome.UNDECIDED: "cantTell", Outcome.NOT_APPLICABLE: "inapplicable"}
    assert told == Counter(words[j.outcome] for _, j in ASSESSED.judgements)


@pytest.mark.parametrize("case", [case for case in cases() if case.outcome is Outcome.FAILS][::40], ids=lambda case: case.path)
def test_what_shacl_says_of_a_failure_is_what_the_judge_blames(case: Case) -> None:
    """No sentence of a branch that is not to blame."""
    assessed = assess(read_document(case.installation), law_of(case, max(case.editions)), [case.rule])
    report = Graph().parse(data=write(assessed, "text/turtle"), format="turtle")
    for _, judgement in assessed.judgements:
        if judgement.outcome is Outcome.FAILS:
            (result,) = [
                r
                for r in report.subjects(SH.resultSeverity, SH.Violation)
                if str(report.value(r, SH.focusNode)).endswith("/" + id_of(judgement.about)) and str(report.value(r, SH.sourceShape)) == judgement.text.iri
            ]
            assert {str(message) for message in report.objects(result, SH.resultMessage)} == set(blame(judgement))


def test_a_report_with_something_undecided_does_not_conform() -> None:
    empty = assess(read_document({"id": "x", "occupancy": "one-family-dwelling"}), Law(2020))
    report = Graph().parse(data=write(empty, "text/turtle"), format="turtle")
    assert [bool(value) for value in report.objects(None, SH.conforms)] == [False]
    assert "Which equipment is there? List it all." in {str(message) for message in report.objects(None, SH.resultMessage)}


def test_two_houses_and_two_decisions_share_no_part_and_no_graph() -> None:
    other = json.loads(HOUSE.read_text())
    other["equipment"][0]["location"] = "indoors"
    first, second = as_dataset(ASSESSED), as_dataset(assess(read_document(other), Law(2020)))
    parts = [{t[0] for triples in dataset.values() for t in triples if t[0].startswith(NODE)} for dataset in (first, second)]
    assert parts[0]
    assert parts[0].isdisjoint(parts[1])
    assert set(first).isdisjoint(second)
    assert set(first).isdisjoint(as_dataset(ASSESSED))


def test_every_term_of_ours_in_an_answer_is_defined() -> None:
    used = {
        term for triples in as_dataset(ASSESSED).values() for triple in triples for term in triple if isinstance(term, str) and term.startswith((CODE, INST))
    }
    defined = set(load_book().ontology.subjects())
    assert {term.removeprefix(CODE).removeprefix(INST) for term in used - defined} == set()


def test_the_dataset_has_four_graphs_and_no_blank_node() -> None:
    written = write(ASSESSED, "application/trig")
    dataset = Dataset()
    dataset.parse(data=written, format="trig")
    named = {str(graph.identifier).rsplit("/", 1)[-1] for graph in dataset.graphs() if len(graph)}
    assert named == {"asserted", "derived", "findings", "provenance"}
    assert all("_:" not in write(ASSESSED, media) for media in MEDIA)


def test_every_derived_triple_names_its_derivation() -> None:
    derived = next(triples for name, triples in as_dataset(ASSESSED).items() if name.endswith("/derived"))
    generated = {t[0] for t in derived if t[1].endswith("wasGeneratedBy")}
    assert len(generated) == len(ASSESSED.derived.because)


def test_the_date_of_a_decision_is_an_instant() -> None:
    report = Graph().parse(data=write(ASSESSED, "text/turtle"), format="turtle")
    assert [value.datatype for value in report.objects(None, DCTERMS.date)] == [XSD.dateTime]
