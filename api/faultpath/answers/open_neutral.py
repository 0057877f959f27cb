"""The neutral opens at any point: what each leg and each frame then stands at, and where a neutral current divides already."""

from collections.abc import Collection, Iterator

from pydantic import Field

from faultpath.answers.consequences import SAFETY, Assumed, Limit, assumptions, limits
from faultpath.answers.findings import known_nodes
from faultpath.answers.open_neutral_solver import Breaking
from faultpath.answers.open_neutral_text import Division, NeutralOpening
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.base.problems import BadInput, Problem
from faultpath.base.terms import INST, TYPE
from faultpath.base.triples import Graph
from faultpath.book.quantities import Quantity
from faultpath.circuit.supply import wiring_behind
from faultpath.derivation.run import derive
from faultpath.document.installation import Installation, id_of
from faultpath.judging.assessment import Law

MODEL = (
    "Steady 60 Hz voltages with every load as the impedance that draws its power at nominal voltage, disconnects closed and breaks "
    "clean; motors, electronics and a neutral that is loose rather than open behave worse and less steadily."
)
MOST_OPENINGS = 100


class OpenNeutralAnswer(Answer):
    """The neutral of each run asked about opened in turn, and every neutral current that divides as things are."""

    record: Record
    caution: str
    safety: str = Field(description="What to keep hands from; show it with every answer.")
    model: str = Field(description="What the numbers leave aside.")
    limits: list[Limit] = Field(description="Published limits that the numbers are set beside.")
    assumed: list[Assumed] = Field(description="What nobody stated, with the ranges tried.")
    openings: list[NeutralOpening] = Field(description="One per run and source.")
    divisions: list[Division] = Field(description="Neutral currents that take other ways than the neutral as things are.")
    left_out: list[str] = Field(description="What is not in the net, in sentences.")


def answer_open_neutral(installation: Installation, law: Law, about: Collection[str] = ()) -> OpenNeutralAnswer:
    """What follows when the neutral opens at each run asked about, or at every run. Raises BadInput.

    A run is named by itself, by a conductor of it, or by the equipment that it ends at.
    """
    known_nodes(installation, about)
    edition = law.edition
    graph = derive(installation.graph, edition).graph
    wanted = list(dict.fromkeys(_runs_asked(graph, about)))
    openings, divisions, left_out, used = [], [], dict[str, None](), dict[str, Quantity]()
    for source in graph.instances(INST + "Source"):
        breaking = Breaking(graph, edition, wiring_behind(graph, edition, source))
        runs = [run for run in breaking.neutrals if not wanted or run in wanted]
        if len(runs) > MOST_OPENINGS:
            raise BadInput([Problem("/about", f"{len(runs)} runs have a neutral.", f"Expected ids of at most {MOST_OPENINGS} of them.")])
        openings += [breaking.opening(run, used) for run in runs]
        found = [breaking.division(run, used) for run in breaking.neutrals]
        divisions += [division for division in found if division is not None]
        left_out.update(dict.fromkeys(breaking.wiring.left_out))
    return OpenNeutralAnswer(
        record=new_record(installation, law),
        caution=CAUTION,
        safety=SAFETY,
        model=MODEL,
        limits=limits(edition, "touch-voltage-limit", "body-resistance", "let-go-current", "fibrillation-current"),
        assumed=assumptions(used.values()),
        openings=openings,
        divisions=divisions,
        left_out=list(left_out),
    )


def _runs_asked(graph: Graph, about: Collection[str]) -> Iterator[str]:
    """The runs that the ids stand for. Raises BadInput for an id of anything that no run leads to."""
    runs = graph.instances(INST + "Run")
    for index, identifier in enumerate(about):
        named = next(node for node in graph.subjects() if id_of(node) == identifier)
        found = [run for run in runs if run == named or graph.text(run, INST + "to") == named or named in graph.iris(run, INST + "conductor")]
        if not found or (named, TYPE, INST + "Source") in graph:
            raise BadInput(
                [Problem(f"/about/{index}", f"No neutral belongs to {identifier!r}.", "Expected ids of runs, of their conductors, or of equipment.")]
            )
        yield from found
