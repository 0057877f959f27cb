"""What is said of a metal raceway as a whole and what its ends show are one fact, over every way to describe an end."""

from itertools import product
from typing import Any

import pytest

from faultpath.base.outcomes import Outcome
from faultpath.base.problems import BadInput
from faultpath.base.terms import INST
from faultpath.book.cases import house
from faultpath.book.vocabulary import vocabulary
from faultpath.document.installation import iri_of, read_document
from faultpath.judging.assessment import Law, assess

FITTINGS = (None, *vocabulary().codes[INST + "RacewayFitting"])
OPENINGS = (None, *vocabulary().codes[INST + "Opening"])
RULE = "service-raceway-bonded"


def riser(said: bool | None, *ends: tuple[str | None, str | None, bool | None]) -> dict[str, Any]:
    """A house whose service raceway has such ends: fitting, opening, jumper."""
    document = house("alder-row")
    run = next(run for run in document["runs"] if run["id"] == "riser")
    run |= {"method": "RMC", "serviceBondedFittings": said, "racewayEnds": []}
    for number, end in enumerate(ends):
        run["racewayEnds"].append({"id": f"end-{number}", **dict(zip(("fitting", "opening", "bondingJumper"), end, strict=True))})
    return document


def outcome(document: dict[str, Any]) -> Outcome:
    found = assess(read_document(document), Law(2020), only=[RULE], about=[iri_of("riser")])
    return found.judgements[0][1].outcome


@pytest.mark.parametrize("end", list(product(FITTINGS, OPENINGS, (None, True, False))), ids=str)
def test_no_word_about_the_whole_changes_what_the_ends_decide(end: tuple[str | None, str | None, bool | None]):
    """Two such ends: what they decide stays, whatever is said of the whole, and what they deny cannot be said."""
    alone = outcome(riser(None, end, end))
    for said in (True, False):
        if alone is (Outcome.FAILS if said else Outcome.HOLDS):
            with pytest.raises(BadInput, match=r"^/runs/1/serviceBondedFittings: "):
                read_document(riser(said, end, end))
        else:
            assert alone in (Outcome.UNDECIDED, outcome(riser(said, end, end)))


def test_one_end_that_bonds_is_enough_and_denies_nothing():
    good, plain = ("threaded-hub", "opening-of-its-size", False), ("locknuts-inside-and-outside", "opening-of-its-size", False)
    assert outcome(riser(False, good, plain)) is Outcome.HOLDS
    with pytest.raises(BadInput, match="is not"):
        read_document(riser(True, good, plain))
