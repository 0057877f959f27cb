"""What findings would mean in amperes and volts: a fault at the frames, and an open neutral, that what fails or is undecided is about."""

from collections.abc import Iterator, Sequence

from pydantic import Field

from faultpath.answers.consequences import SAFETY, Assumed, Between, Limit, assumptions, is_metal, limits, sources_of
from faultpath.answers.fault_loop import MODEL as LOOP_MODEL
from faultpath.answers.fault_loop import default_criterion, loops
from faultpath.answers.fault_loop_text import Clearing, FaultLoop
from faultpath.answers.open_neutral import MODEL as NEUTRAL_MODEL
from faultpath.answers.open_neutral_solver import Breaking
from faultpath.answers.open_neutral_text import Division, NeutralOpening
from faultpath.answers.record import Answer
from faultpath.answers.sizing import owners_in
from faultpath.base.outcomes import Outcome
from faultpath.base.problems import BadInput
from faultpath.base.terms import INST, TYPE
from faultpath.base.triples import Graph
from faultpath.book.quantities import Quantity
from faultpath.circuit.supply import wiring_behind
from faultpath.document.installation import id_of, iri_of
from faultpath.judging.assessment import Assessed

MOST_FRAMES, MOST_NEUTRALS = 4, 2
# The net of a larger installation, in triples, takes longer to solve than a reader waits.
MOST_TRIPLES = 3_000
_EQUIPMENT, _RUN = INST + "Equipment", INST + "Run"


class FrameFigure(Answer):
    """A fault at one frame, and the findings that are about the equipment or about the run that feeds it."""

    loop: FaultLoop
    findings: list[tuple[str, str]] = Field(description="Rule and part of each finding.")


class NeutralFigure(Answer):
    """The neutral of one run opened, how its current divides as things are, and the findings that are about it or what it feeds."""

    opening: NeutralOpening
    division: Division | None
    findings: list[tuple[str, str]] = Field(description="Rule and part of each finding.")


class Figures(Answer):
    """The figures, what they leave aside, assume and are set beside."""

    safety: str
    models: list[str] = Field(description="What the numbers leave aside.")
    limits: list[Limit]
    assumed: list[Assumed]
    frames: list[FrameFigure]
    neutrals: list[NeutralFigure]
    frames_left_out: list[str] = Field(description="Ids of equipment that findings are about and that no fault was worked out for.")
    neutrals_left_out: list[str] = Field(description="Ids of runs with a neutral, likewise.")
    not_given: str | None = Field(description="Why there are no figures though findings would have some; null where there are.")


def figures(assessed: Assessed) -> Figures:
    """The figures for the findings of an assessment: what fails first, then what is undecided, and no more than are read at a sitting."""
    graph, edition = assessed.derived.graph, assessed.law.edition
    wanted = _frames(assessed)
    used: dict[str, Quantity] = {}
    frames, neutrals, left_out, not_given = list[FrameFigure](), list[NeutralFigure](), list[str](), None
    if len(assessed.installation.graph) > MOST_TRIPLES:
        not_given = "The installation is too large to work them out in passing."
    else:
        try:
            chosen = list(wanted)[:MOST_FRAMES]
            frames = [FrameFigure(loop=loop, findings=wanted[iri_of(loop.about)]) for loop in loops(graph, edition, chosen, default_criterion(edition), used)]
            neutrals, left_out = _neutrals(assessed, used)
        except BadInput as bad:  # a net that costs too much
            not_given = " ".join(problem.found for problem in bad.problems)
    return Figures(
        safety=SAFETY,
        models=[LOOP_MODEL, *([NEUTRAL_MODEL] if neutrals else [])],
        limits=limits(edition, "touch-voltage-limit", "body-resistance", "let-go-current", "fibrillation-current"),
        assumed=assumptions(used.values()),
        frames=frames,
        neutrals=neutrals,
        frames_left_out=[id_of(equipment) for equipment in list(wanted)[MOST_FRAMES:]],
        neutrals_left_out=left_out,
        not_given=not_given if wanted else None,
    )


class FrameChange(Answer):
    """A fault at one frame before and after some work; null where the equipment is not there."""

    about: str
    before: FaultLoop | None
    after: FaultLoop | None


def changed_figures(before: Assessed, after: Assessed) -> list[FrameChange]:
    """The frames that findings of either state are about, those after the work first, where what a fault would do is another; none in a large net."""
    wanted = list(dict.fromkeys([*_frames(after), *_frames(before)]))[:MOST_FRAMES]
    try:
        was, now = (_first_loops(assessed, wanted) for assessed in (before, after))
    except BadInput:  # a net that costs too much
        return []
    found = [FrameChange(about=id_of(equipment), before=was.get(equipment), after=now.get(equipment)) for equipment in wanted]
    return [change for change in found if _told(change.before) != _told(change.after)]


def _first_loops(assessed: Assessed, wanted: Sequence[str]) -> dict[str, FaultLoop]:
    """The loop of each frame that is there, behind the first source that supplies it."""
    graph, edition = assessed.derived.graph, assessed.law.edition
    if len(assessed.installation.graph) > MOST_TRIPLES:
        return {}
    here = [equipment for equipment in wanted if (equipment, TYPE, _EQUIPMENT) in graph]
    found: dict[str, FaultLoop] = {}
    for loop in loops(graph, edition, here, default_criterion(edition), {}):
        found.setdefault(iri_of(loop.about), loop)
    return found


def _told(loop: FaultLoop | None) -> tuple[Between | None, Clearing | None, Between | None]:
    """What would be another to whom the frame stands in front of."""
    known = loop is not None and loop.fault_amperes is not None
    return (loop.fault_amperes, loop.clears, loop.touch_volts) if loop is not None and known else (None, None, None)


def _concerned(assessed: Assessed) -> dict[str, list[tuple[str, str]]]:
    """The equipment and the runs that what fails, then what is undecided, is about, each with its findings."""
    graph, owner = assessed.derived.graph, owners_in(assessed.installation.document)
    found: dict[str, list[tuple[str, str]]] = {}
    for outcome in (Outcome.FAILS, Outcome.UNDECIDED):
        for rule, judgement in assessed.judgements:
            if judgement.outcome is outcome:
                for part in _wired(graph, owner, judgement.about):
                    found.setdefault(part, []).append((rule.key, id_of(judgement.about)))
    return found


def _wired(graph: Graph, owner: dict[str, str], node: str) -> Iterator[str]:
    """The equipment or the run that a part is, or is written inside of; nothing for a part of neither, such as an electrode."""
    name: str | None = id_of(node)
    while name is not None:
        if any((iri_of(name), TYPE, kind) in graph for kind in (_EQUIPMENT, _RUN)):
            yield iri_of(name)
            return
        name = owner.get(name)


def _frames(assessed: Assessed) -> dict[str, list[tuple[str, str]]]:
    """The metal frames that findings are about, or that the runs end at which they are about."""
    graph = assessed.derived.graph
    found: dict[str, list[tuple[str, str]]] = {}
    for part, findings in _concerned(assessed).items():
        equipment = graph.text(part, INST + "to") if (part, TYPE, _RUN) in graph else part
        if equipment and is_metal(graph, equipment):
            found.setdefault(equipment, []).extend(findings)
    return found


def _neutrals(assessed: Assessed, used: dict[str, Quantity]) -> tuple[list[NeutralFigure], list[str]]:
    """The neutrals of the runs that findings are about, or that feed the equipment which they are about, and the ids of those left out."""
    graph, edition = assessed.derived.graph, assessed.law.edition
    feeding: dict[str, list[str]] = {}
    for run in graph.instances(_RUN):
        feeding.setdefault(graph.text(run, INST + "to"), []).append(run)
    wanted: dict[str, list[tuple[str, str]]] = {}
    for part, findings in _concerned(assessed).items():
        for run in [part] if (part, TYPE, _RUN) in graph else feeding.get(part, []):
            wanted.setdefault(run, []).extend(findings)
    ends = [graph.text(run, INST + "to") for run in wanted]
    broken = {source: Breaking(graph, edition, wiring_behind(graph, edition, source)) for source in sources_of(graph, ends)}
    runs = [(breaking, run) for run in wanted for breaking in broken.values() if run in breaking.neutrals]
    # Behind a neutral that two legs share voltages shift; behind any other what it feeds only stops.
    runs.sort(key=lambda pair: len(pair[0].wiring.legs.get(graph.text(pair[1], INST + "to"), [])) < 2)
    shown = [
        NeutralFigure(opening=breaking.opening(run, used), division=breaking.division(run, used), findings=wanted[run])
        for breaking, run in runs[:MOST_NEUTRALS]
    ]
    return shown, list(dict.fromkeys(id_of(run) for _, run in runs[MOST_NEUTRALS:]))
