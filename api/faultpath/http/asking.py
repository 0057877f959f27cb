"""Question and installation in, answer out: the one way that HTTP and the command line share."""

from collections.abc import Callable
from threading import Lock
from typing import TypeVar

from faultpath.answers.editions import ComparisonAnswer, compare
from faultpath.answers.findings import FindingsAnswer, answer_findings, assess_request
from faultpath.answers.law import Candidates, Chosen, per_law
from faultpath.answers.notice import NoticeAnswer, answer_notice
from faultpath.answers.origin import OriginAnswer, answer_origin
from faultpath.assessment import Assessed, Law
from faultpath.http.messages import ComparisonQuestion, FindingsQuestion, NoticeQuestion, OriginQuestion, laws_of, laws_to_compare
from faultpath.installation import Installation
from faultpath.problems import BadInput, Problem

_reference_engine = Lock()
T = TypeVar("T")


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
    return _assessed(installation, settled(laws_of(question, installation)), question)


def settled(chosen: Chosen) -> Law:
    """The one law that is in force, for formats that hold one answer. Raises BadInput where several may be."""
    if not chosen.is_settled:
        listed = ", ".join(str(law.edition) for law in chosen.laws)
        expected = f"Expected an edition for this format, one of: {listed}; or JSON, which holds an answer for each."
        raise BadInput([Problem("/edition", "The place and the date do not settle the edition.", expected)], kind="bad-request")
    return chosen.laws[0]


def _assessed(installation: Installation, law: Law, question: FindingsQuestion | NoticeQuestion) -> Assessed:
    assessed = of_request(lambda: assess_request(installation, law, question.rules, question.about))
    if isinstance(question, FindingsQuestion) and question.verify:
        _verify(assessed)
    return assessed


def ask_origin(installation: Installation, question: OriginQuestion) -> OriginAnswer | Candidates[OriginAnswer]:
    """The supply paths, under each law that may be in force. Raises BadInput."""
    return per_law(laws_of(question, installation), lambda law: of_request(lambda: answer_origin(installation, law, question.about)))


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
