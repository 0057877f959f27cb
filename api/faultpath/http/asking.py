"""Question and installation in, answer out: the one way that HTTP and the command line share."""

from collections.abc import Callable, Sequence
from threading import Lock
from typing import TypeVar

from faultpath.answers.editions import ComparisonAnswer, compare
from faultpath.answers.fault_loop import FaultLoopAnswer, answer_fault_loop
from faultpath.answers.findings import FindingsAnswer, answer_findings, assess_request
from faultpath.answers.law import Candidates, Chosen, per_law
from faultpath.answers.notice import NoticeAnswer, answer_notice
from faultpath.answers.open_neutral import OpenNeutralAnswer, answer_open_neutral
from faultpath.answers.origin import OriginAnswer, answer_origin
from faultpath.answers.record import Answer
from faultpath.assessment import Assessed, Law
from faultpath.http.laws import laws_of, laws_to_compare
from faultpath.http.messages import ComparisonQuestion, FaultLoopQuestion, FindingsQuestion, NoticeQuestion, OpenNeutralQuestion, OriginQuestion
from faultpath.installation import Installation
from faultpath.problems import BadInput, Problem

_reference_engine = Lock()
T = TypeVar("T")
A = TypeVar("A", bound=Answer)


class EnginesDiffer(Exception):
    """The judge and the reference engine do not agree, so there is no answer. `problems` says where."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(problem.found for problem in problems))


def ask_findings(installation: Installation, question: FindingsQuestion) -> FindingsAnswer | Candidates[FindingsAnswer]:
    """The findings, under each law that may be in force. Raises BadInput, and EnginesDiffer where verifying was asked for and failed."""

    def answer(law: Law) -> FindingsAnswer:
        return answer_findings(_assessed(installation, law, question), detail=question.detail, verified=True if question.verify else None)

    return per_law(laws_of(question, installation), answer)


def ask_notice(installation: Installation, question: NoticeQuestion) -> NoticeAnswer | Candidates[NoticeAnswer]:
    """The draft of a correction notice, under each law that may be in force. Raises BadInput."""
    return per_law(laws_of(question, installation), lambda law: answer_notice(_assessed(installation, law, question)))


def assess_question(installation: Installation, question: FindingsQuestion | NoticeQuestion) -> Assessed:
    """The assessment behind the findings, for formats that hold one. Raises BadInput, also where the law is not settled, and EnginesDiffer."""
    return _assessed(installation, settled_law(laws_of(question, installation)), question)


def settled_law(chosen: Chosen) -> Law:
    """The one law that is in force, for formats that hold one answer. Raises BadInput where several may be."""
    if not chosen.is_settled:
        raise _unsettled([str(law.edition) for law in chosen.laws])
    return chosen.laws[0]


def _assessed(installation: Installation, law: Law, question: FindingsQuestion | NoticeQuestion) -> Assessed:
    assessed = of_request(lambda: assess_request(installation, law, question.rules, question.about))
    if isinstance(question, FindingsQuestion) and question.verify:
        _verify(assessed)
    return assessed


def ask_origin(installation: Installation, question: OriginQuestion) -> OriginAnswer | Candidates[OriginAnswer]:
    """The supply paths, under each law that may be in force. Raises BadInput."""
    return per_law(laws_of(question, installation), lambda law: of_request(lambda: answer_origin(installation, law, question.about)))


def ask_fault_loop(installation: Installation, question: FaultLoopQuestion) -> FaultLoopAnswer | Candidates[FaultLoopAnswer]:
    """The fault loops, under each law that may be in force. Raises BadInput."""
    chosen = {"multiple": question.multiple, "arc_volts": question.arc_volts}

    def answer(law: Law) -> FaultLoopAnswer:
        return of_request(lambda: answer_fault_loop(installation, law, question.about, by_length=question.by_length, **chosen))

    return per_law(laws_of(question, installation), answer)


def ask_open_neutral(installation: Installation, question: OpenNeutralQuestion) -> OpenNeutralAnswer | Candidates[OpenNeutralAnswer]:
    """The open neutrals and the neutral currents that divide, under each law that may be in force. Raises BadInput."""
    return per_law(laws_of(question, installation), lambda law: of_request(lambda: answer_open_neutral(installation, law, question.about)))


def settled(found: A | Candidates[A]) -> A:
    """The one answer, for formats that hold one. Raises BadInput where the law is not settled."""
    if isinstance(found, Candidates):
        raise _unsettled([candidate.edition for candidate in found.candidates])
    return found


def _unsettled(listed: Sequence[str]) -> BadInput:
    expected = f"Expected an edition for this format, one of: {', '.join(listed)}; or JSON, which holds an answer for each."
    return BadInput([Problem("/edition", "The place and the date do not settle the edition.", expected)], kind="bad-request")


def ask_comparison(installation: Installation, question: ComparisonQuestion) -> ComparisonAnswer:
    """The outcomes under each law. Raises BadInput."""
    laws = laws_to_compare(question)
    return of_request(lambda: compare(installation, laws, question.rules, question.about))


def of_request(answer: Callable[[], T]) -> T:
    """An answer whose problems, if any, are the question's: the installation was read before."""
    try:
        return answer()
    except BadInput as bad:
        if bad.kind != "bad-installation":
            raise
        raise BadInput(bad.problems, kind="bad-request", status=bad.status) from bad


def _verify(assessed: Assessed) -> None:
    from faultpath.reference import differences  # the engine is slow to import and needed for verifying only

    with _reference_engine:
        found = differences(assessed)
    if found:
        told = "{0.node}: the judge says {0.judge}, the reference engine says {0.reference}, on {0.text}."
        raise EnginesDiffer(tuple(Problem("", told.format(difference), "Expected both engines to agree.") for difference in found))
