"""The supply path of equipment, named: source, service conductors, service equipment, feeder, branch circuit, and what decided it."""

from collections.abc import Collection, Iterator

from pydantic import Field

from faultpath.answers.findings import DerivedTriple, derivations_of, known_nodes, shown
from faultpath.answers.reasons import MissingFact, missing_fact
from faultpath.answers.record import CAUTION, Answer, Record, new_record
from faultpath.base.outcomes import Gap
from faultpath.base.terms import INST, TYPE
from faultpath.base.triples import Triple
from faultpath.book.vocabulary import PathStep, vocabulary
from faultpath.derivation.run import Derived, derive
from faultpath.document.installation import Installation, id_of
from faultpath.judging.assessment import Law
from faultpath.judging.judge import JudgingCache, missing_facts

_FROM, _TO, _ROLE, _SUPPLIED, _SIDE, _RUN_SIDE = (INST + name for name in ("from", "to", "runRole", "suppliedAs", "side", "runSide"))
_INCOMING, _ORIGIN, _STANDING, _DISCONNECT = (INST + name for name in ("incomingRun", "circuitOrigin", "standsAs", "disconnect"))
_EQUIPMENT, _DISTRIBUTION = INST + "Equipment", INST + "DistributionEquipment"


class SupplyStage(Answer):
    """One stage of a supply path, from the source on: a source, a run, or equipment."""

    id: str = Field(description="Id of the source, run or equipment.")
    is_a: str = Field(description="What it is by kind.")
    role: str | None = Field(description="What it is to the code: service conductors, service equipment, feeder, branch circuit; null while not known.")
    side: str | None = Field(description="Its side of the service disconnect; null while not known.")
    decided_by: list[DerivedTriple] = Field(description="What decided the role and the side, down to what was stated.")
    missing: list[MissingFact] = Field(description="The facts that would tell, where they are not known.")


class SupplyPath(Answer):
    """The way from the source to one piece of equipment."""

    about: str = Field(description="Id of the equipment.")
    origin: str | None = Field(description="Where its branch circuit originates; null for distribution equipment or while not known.")
    says: str = Field(description="The path in one sentence.")
    stages: list[SupplyStage]


class OriginAnswer(Answer):
    """The supply paths asked for."""

    record: Record
    caution: str
    paths: list[SupplyPath]


def answer_origin(installation: Installation, law: Law, about: Collection[str] = ()) -> OriginAnswer:
    """The supply path of each piece of equipment asked about, or of all. Raises BadInput for an id that does not exist."""
    wanted = known_nodes(installation, about)
    derived = derive(installation.graph, law.edition)
    bench = JudgingCache(derived.graph)
    nodes = [node for node in derived.graph.instances(_EQUIPMENT) if not wanted or node in wanted]
    paths = [_path(derived, bench, node) for node in nodes]
    return OriginAnswer(record=new_record(installation, law), caution=CAUTION, paths=paths)


def _path(derived: Derived, bench: JudgingCache, node: str) -> SupplyPath:
    graph = derived.graph
    chain = [node]
    # The document is free of supply loops, so going upstream ends.
    while (up := next(iter(_upstream(derived, chain[-1])), None)) is not None:
        chain.append(up)
    stages = [_stage(derived, bench, stage) for stage in reversed(chain)]
    origin = graph.value(node, _ORIGIN)
    named = ", ".join(f"{stage.id} ({stage.role or stage.is_a})" for stage in stages)
    return SupplyPath(
        about=id_of(node), origin=None if origin is None else id_of(str(origin)), says=f"{id_of(node)} is supplied through {named}.", stages=stages
    )


def _upstream(derived: Derived, node: str) -> Iterator[str]:
    yield from derived.graph.iris(node, _FROM)
    yield from derived.graph.iris(node, _INCOMING)


def _stage(derived: Derived, bench: JudgingCache, node: str) -> SupplyStage:
    graph, words = derived.graph, vocabulary()
    is_run = bool(graph.values(node, _FROM))
    side_property = _RUN_SIDE if is_run else _SIDE
    role_property = _ROLE if is_run else _SUPPLIED if (node, TYPE, _DISTRIBUTION) in graph else None
    role = graph.value(node, role_property) if role_property else None
    side = graph.value(node, side_property)
    reasons: list[Triple] = [(node, p, v) for p, v in ((role_property, role), (side_property, side)) if p and v is not None]
    for disconnect in graph.iris(node, _DISCONNECT):
        reasons += [(disconnect, _STANDING, v) for v in graph.values(disconnect, _STANDING)]
    gaps = [gap for p in (side_property, role_property) if p for gap in bench.view(node).walk((PathStep(p),)).gaps]
    missing = dict.fromkeys(fact for gap in gaps for fact in missing_facts(bench, Gap(gap.node, gap.property)))
    kind = next(iter(derived.asserted.iris(node, TYPE)), "")
    return SupplyStage(
        id=id_of(node),
        is_a=words.labels.get(kind, shown(kind)),
        role=words.labels[str(role)] if role is not None else None,
        side=words.labels[str(side)] if side is not None else None,
        decided_by=list(derivations_of(derived.because, reasons)),
        missing=[missing_fact(gap) for gap in missing],
    )
