"""A leg touches a frame: which way the current returns, how much of it, when the device opens, and what can be touched until then."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from pydantic import Field

from faultpath.answers.consequences import SAFETY, Assumed, Limit, asked, assumptions, is_metal, limit, limits, sources_of
from faultpath.answers.fault_loop_solver import Loop, nothing_known
from faultpath.answers.fault_loop_text import FaultLoop
from faultpath.answers.findings import known_nodes
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.base.outcomes import Gap
from faultpath.base.problems import BadInput, Problem
from faultpath.base.terms import INST
from faultpath.base.triples import Graph
from faultpath.book.quantities import Quantity, quantities
from faultpath.circuit.supply import wiring_behind
from faultpath.derivation.run import derive
from faultpath.document.installation import Installation, id_of
from faultpath.judging.assessment import Law

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
    criterion = [_chosen(quantity, asked_for) for quantity, asked_for in zip(default_criterion(edition), (multiple, arc_volts), strict=True)]
    used: dict[str, Quantity] = {}
    found = loops(graph, edition, frames, criterion, used, by_length=by_length)
    return FaultLoopAnswer(
        record=new_record(installation, law),
        caution=CAUTION,
        safety=SAFETY,
        model=MODEL,
        criterion=[limit(quantity) for quantity in criterion],
        limits=limits(edition, "touch-voltage-limit", "body-resistance", "let-go-current", "fibrillation-current"),
        assumed=assumptions(used.values()),
        loops=found,
    )


def loops(
    graph: Graph, edition: int, frames: Sequence[str], criterion: Sequence[Quantity], used: dict[str, Quantity], *, by_length: bool = False
) -> list[FaultLoop]:
    """The loop of each frame behind each source that supplies it, in a derived graph; what they assume is added to `used`. Raises BadInput.

    `criterion` are the multiple and the arc voltage of length limits, `by_length` asks for other lengths of the last run.
    """
    found: dict[str, list[FaultLoop]] = {equipment: [] for equipment in frames}
    for source in sources_of(graph, frames):
        wiring = wiring_behind(graph, edition, source)
        for equipment in frames:
            if equipment in wiring.reached:
                found[equipment].append(Loop(graph, edition, wiring, equipment, criterion, by_length).answer(used))
    return [loop for equipment, behind in found.items() for loop in behind or [_unsupplied(graph, equipment)]]


def default_criterion(edition: int) -> list[Quantity]:
    """The book's criterion of length limits: the multiple of the rating and the arc voltage."""
    return [quantities(edition)[name] for name in ("criterion-multiple", "criterion-arc-voltage")]


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
    frames = [found for found in equipment if is_metal(graph, found)]
    if len(frames) > MOST_FRAMES:
        raise BadInput([Problem("/about", f"The installation has {len(frames)} frames.", f"Expected ids of at most {MOST_FRAMES} of them.")])
    return frames


def _unsupplied(graph: Graph, equipment: str) -> FaultLoop:
    gaps = [Gap(equipment, INST + "incomingRun")]
    return nothing_known(equipment, f"Nothing is known to supply {id_of(equipment)}.", asked(graph, gaps))
