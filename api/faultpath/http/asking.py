"""Question and installation in, answer out: the one way that HTTP and the command line share."""

from collections.abc import Callable
from threading import Lock
from typing import TypeVar

from faultpath.answers.editions import ComparisonAnswer, compare
from faultpath.answers.findings import FindingsAnswer, answer_findings, assess_request
from faultpath.answers.origin import OriginAnswer, answer_origin
from faultpath.assessment import Assessed
from faultpath.http.messages import ComparisonQuestion, FindingsQuestion, OriginQuestion, law_of, practices_of, years_of
from faultpath.installation import Installation
from faultpath.problems import BadInput, Problem

_reference_engine = Lock()
T = TypeVar("T")


class EnginesDiffer(Exception):
    """The judge and the reference engine do not agree, so there is no answer. `problems` says where."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(problem.found for problem in problems))


def ask_findings(installation: Installation, question: FindingsQuestion) -> FindingsAnswer:
    """The findings. Raises BadInput, and EnginesDiffer where verifying was asked for and failed."""
    assessed = assess_question(installation, question)
    return answer_findings(assessed, detail=question.detail, verified=True if question.verify else None)


def assess_question(installation: Installation, question: FindingsQuestion) -> Assessed:
    """The assessment behind the findings, verified if that was asked for. Raises BadInput and EnginesDiffer."""
    law = law_of(question.edition, question.practices)
    assessed = _of_request(lambda: assess_request(installation, law, question.rules, question.about))
    if question.verify:
        _verify(assessed)
    return assessed


def ask_origin(installation: Installation, question: OriginQuestion) -> OriginAnswer:
    """The supply paths. Raises BadInput."""
    law = law_of(question.edition)
    return _of_request(lambda: answer_origin(installation, law, question.about))


def ask_comparison(installation: Installation, question: ComparisonQuestion) -> ComparisonAnswer:
    """The outcomes under each edition. Raises BadInput."""
    years, chosen = years_of(question.editions), practices_of(question.practices)
    return _of_request(lambda: compare(installation, years, chosen, question.rules, question.about))


def _of_request(answer: Callable[[], T]) -> T:
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
