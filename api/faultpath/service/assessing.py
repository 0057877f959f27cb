"""An installation judged as a request asks: under its law, by its rules, about its parts, and beside the reference engine where it wishes."""

from threading import Lock

from faultpath.answers.findings import assess_request
from faultpath.base.problems import Problem
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Assessed, Law
from faultpath.service.jurisdiction import laws_of, settled_law
from faultpath.service.requests import JudgingQuestion, of_request

_reference_engine = Lock()


class EnginesDiffer(Exception):
    """The judge and the reference engine do not agree, so there is no answer. `problems` says where."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(problem.found for problem in problems))


def assess_question(installation: Installation, question: JudgingQuestion, *, verify: bool = False) -> Assessed:
    """The assessment behind the findings, for formats that hold one. Raises BadInput, also where the law is not settled, and EnginesDiffer."""
    return assessed_under(installation, settled_law(laws_of(question, installation)), question, verify=verify)


def assessed_under(installation: Installation, law: Law, question: JudgingQuestion, *, verify: bool = False) -> Assessed:
    """The assessment under one law. Raises BadInput, and EnginesDiffer where verifying was asked for and failed."""
    assessed = of_request(lambda: assess_request(installation, law, question.rules, question.about))
    if verify:
        _verify(assessed)
    return assessed


def _verify(assessed: Assessed) -> None:
    from faultpath.judging.reference import differences  # the engine is slow to import and needed for verifying only

    with _reference_engine:
        found = differences(assessed)
    if found:
        told = "{0.node}: the judge says {0.judge}, the reference engine says {0.reference}, on {0.text}."
        raise EnginesDiffer(tuple(Problem("", told.format(difference), "Expected both engines to agree.") for difference in found))
