"""Sources whose grounding goes by how they are connected to another system are not covered, and no rule about systems judges them."""

import pytest

from faultpath.base.outcomes import Outcome
from faultpath.base.terms import INST
from faultpath.book.cases import house
from faultpath.book.rules import editions
from faultpath.book.vocabulary import vocabulary
from faultpath.document.installation import iri_of, read_document
from faultpath.judging.assessment import Law, assess

SYSTEMS = tuple(vocabulary().codes[INST + "System"])


@pytest.mark.parametrize("kind", ["generator", "inverter"])
def test_a_generator_or_inverter_fails_no_rule_about_systems(kind: str):
    """Whatever its system is, of a floating generator behind a solid neutral for instance, or an inverter of two wires."""
    document = house("alder-row")
    document["sources"] += [{"id": f"source-{number}", "kind": kind, "system": system} for number, system in enumerate(SYSTEMS)]
    installation = read_document(document)
    about = [iri_of(f"source-{number}") for number in range(len(SYSTEMS))]
    for year in editions():
        found = assess(installation, Law(year), about=about)
        assert {rule.key for rule, judgement in found.judgements if judgement.outcome is Outcome.FAILS} <= {"other-sources-are-named-at-the-disconnect"}
        assert not {rule.key for rule, _ in found.judgements} & {"system-grounded-where-required", "ungrounded-system-detected-and-marked"}
