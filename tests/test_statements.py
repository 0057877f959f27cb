"""An assessed installation as RDF: valid in rdflib, EARL and SHACL terms used as W3C defines them, nothing blank."""

import json
from pathlib import Path

import pytest
from rdflib import Dataset, Graph, URIRef
from rdflib.namespace import RDF, SH

from faultpath.base.outcomes import Outcome
from faultpath.base.terms import EARL
from faultpath.document.installation import read_document
from faultpath.judging.assessment import Law, assess
from faultpath.present.rdf import DERIVED, MEDIA, as_dataset, write

HOUSE = Path(__file__).resolve().parent.parent / "examples" / "alder-row-outdoor-disconnect.json"
# rdflib's own parsers still use what rdflib deprecates.
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning:rdflib")
ASSESSED = assess(read_document(json.loads(HOUSE.read_text())), Law(2020))
FORMATS = {"text/turtle": "turtle", "application/ld+json": "json-ld"}


@pytest.mark.parametrize("media", FORMATS)
def test_the_report_reads_in_rdflib_and_counts_the_same_failures(media: str) -> None:
    report = Graph().parse(data=write(ASSESSED, media), format=FORMATS[media])
    failing = {(j.text.iri, j.about) for _, j in ASSESSED.judgements if j.outcome is Outcome.FAILS}
    results = list(report.subjects(RDF.type, SH.ValidationResult))
    assert {(str(report.value(r, SH.sourceShape)), str(report.value(r, SH.focusNode))) for r in results} == failing
    failed = list(report.subjects(URIRef(EARL + "outcome"), URIRef(EARL + "failed")))
    assert len(failed) == len(failing)


def test_the_dataset_has_four_graphs_and_no_blank_node() -> None:
    written = write(ASSESSED, "application/trig")
    dataset = Dataset()
    dataset.parse(data=written, format="trig")
    named = {str(graph.identifier) for graph in dataset.graphs() if len(graph)}
    assert named == set(as_dataset(ASSESSED))
    assert all("_:" not in write(ASSESSED, media) for media in MEDIA)


def test_every_derived_triple_names_its_derivation() -> None:
    derived = as_dataset(ASSESSED)[DERIVED]
    generated = {t[0] for t in derived if t[1].endswith("wasGeneratedBy")}
    assert len(generated) == len(ASSESSED.derived.because)
