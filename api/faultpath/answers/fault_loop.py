"""A leg touches a frame: which way the current returns, how much of it, when the device opens, and what can be touched until then."""

from collections.abc import Collection
from dataclasses import replace

from pydantic import Field

from faultpath.answers.consequences import SAFETY, Assumed, Limit, asked, assumptions, limit, limits, sources_of
from faultpath.answers.findings import known_nodes
from faultpath.answers.loop import Loop, nothing_known
from faultpath.answers.loop_said import FaultLoop
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.assessment import Law
from faultpath.derive import derive
from faultpath.graph import Graph
from faultpath.installation import Installation, id_of
from faultpath.joining import wiring_behind
from faultpath.outcome import Gap
from faultpath.problems import BadInput, Problem
from faultpath.quantities import Quantity, quantities
from faultpath.terms import INST

MODEL = (
    "Steady 60 Hz currents of a bolted fault with sound joints, loads left out and every disconnect closed; a real fault arcs and "
    "real joints are worse, so there is less current and more time. Opening times are a generic band for thermal-magnetic breakers "
    "between published limits, no manufacturer's curve, and do not hold for fuses."
)
MOST_FRAMES = 200


class FaultLoopAnswer(Answer):
    """The fault loop of each frame asked about."""

    record: Record
    caution: str
    safety: str = Field(description="What to keep hands from; show it with every answer.")
    model: str = Field(description="What the numbers leave aside.")
    criterion: list[Limit] = Field(description="The criterion of the length limits.")
    limits: list[Limit] = Field(description="Published limits that the numbers are set beside.")
    assumed: list[Assumed] = Field(description="What nobody stated, with the ranges tried.")
    loops: list[FaultLoop] = Field(description="One per frame and source.")


def answer_fault_loop(
    installation: Installation,
    law: Law,
    about: Collection[str] = (),
    *,
    multiple: float | None = None,
    arc_volts: float | None = None,
    by_length: bool = False,
) -> FaultLoopAnswer:
    """The fault loop of each frame asked about, or of every metal one. Raises BadInput.

    `multiple` of the device's rating and `arc_volts` are the criterion of length limits, the book's where not given;
    `by_length` asks for other lengths of the last run too.
    """
    wanted = known_nodes(installation, about)
    edition = law.edition
    graph = derive(installation.graph, edition).graph
    frames = _frames(graph, wanted, about)
    known = quantities(edition)
    criterion = [_chosen(known["criterion-multiple"], multiple), _chosen(known["criterion-arc-voltage"], arc_volts)]
    used: dict[str, Quantity] = {}
    loops = []
    for source in sources_of(graph, frames):
        wiring = wiring_behind(graph, edition, source)
        for equipment in frames:
            if equipment in wiring.reached:
                loops.append(Loop(graph, edition, wiring, equipment, criterion, by_length).answer(used))
    loops += [_unsupplied(graph, equipment) for equipment in frames if all(loop.about != id_of(equipment) for loop in loops)]
    order = {id_of(equipment): number for number, equipment in enumerate(frames)}
    return FaultLoopAnswer(
        record=new_record(installation, law),
        caution=CAUTION,
        safety=SAFETY,
        model=MODEL,
        criterion=[limit(quantity) for quantity in criterion],
        limits=limits(edition, "touch-voltage-limit", "body-resistance", "let-go-current", "fibrillation-current"),
        assumed=assumptions(used.values()),
        loops=sorted(loops, key=lambda loop: order[loop.about]),
    )


def _chosen(quantity: Quantity, asked_for: float | None) -> Quantity:
    if asked_for is None:
        return quantity
    return replace(quantity, least=asked_for, most=asked_for, basis="asked for")


def _frames(graph: Graph, wanted: Collection[str], about: Collection[str]) -> list[str]:
    """The equipment asked about; all with metal that can be touched if none is. Raises BadInput for anything else."""
    equipment = graph.instances(INST + "Equipment")
    for index, identifier in enumerate(about):
        if not any(id_of(found) == identifier for found in equipment):
            raise BadInput([Problem(f"/about/{index}", f"{identifier!r} has no frame.", "Expected ids of equipment.")])
    if wanted:
        return [found for found in equipment if found in wanted]
    cased = [(e, [*graph.iris(e, INST + "enclosure"), *graph.iris(e, INST + "box")]) for e in equipment]
    frames = [e for e, cases in cased if not any(graph.value(case, INST + "metal") is False for case in cases)]
    if len(frames) > MOST_FRAMES:
        raise BadInput([Problem("/about", f"The installation has {len(frames)} frames.", f"Expected ids of at most {MOST_FRAMES} of them.")])
    return frames


def _unsupplied(graph: Graph, equipment: str) -> FaultLoop:
    gaps = [Gap(equipment, INST + "incomingRun")]
    return nothing_known(equipment, f"Nothing is known to supply {id_of(equipment)}.", asked(graph, gaps))
