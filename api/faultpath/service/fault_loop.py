"""The way of a fault current, and when the device opens."""

from typing import Annotated, Any

from pydantic import Field, StrictBool

from faultpath.answers.fault_loop import FaultLoopAnswer, answer_fault_loop
from faultpath.answers.law import Candidates, per_law
from faultpath.document.installation import Installation
from faultpath.judging.assessment import Law
from faultpath.service.jurisdiction import laws_of, settled
from faultpath.service.requests import INSTALLATION, Name, UnderLaw, of_request

Multiple = Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
ArcVolts = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]


class FaultLoopQuestion(UnderLaw):
    """Which fault loops, by which edition's tables, and the criterion of length limits."""

    about: list[Name] = Field(
        default=[], description="Ids of the equipment whose frames to answer about; all metal ones if left out or empty.", max_length=1000
    )
    multiple: Multiple | None = Field(default=None, description="Fault current over the device's rating that length limits ask for; the book's if left out.")
    arc_volts: ArcVolts | None = Field(default=None, description="Voltage lost in the arc that length limits reckon with; the book's if left out.")
    by_length: StrictBool = Field(default=False, description="Give current and touch voltage by the length of the last run too; a picture always has them.")


class FaultLoopRequest(FaultLoopQuestion):
    """An installation and the fault loops wanted."""

    installation: dict[str, Any] = Field(description=INSTALLATION)


def ask_fault_loop(installation: Installation, question: FaultLoopQuestion) -> FaultLoopAnswer | Candidates[FaultLoopAnswer]:
    """The fault loops, under each law that may be in force. Raises BadInput."""
    chosen = {"multiple": question.multiple, "arc_volts": question.arc_volts}

    def answer(law: Law) -> FaultLoopAnswer:
        return of_request(lambda: answer_fault_loop(installation, law, question.about, by_length=question.by_length, **chosen))

    return per_law(laws_of(question, installation), answer)


def fault_loop_in(_: str, installation: Installation, question: FaultLoopQuestion) -> bytes:
    """The curves of the fault loops by length, as SVG. Raises BadInput, also where the law is not settled."""
    from faultpath.present.plots import plot_fault_loop

    return plot_fault_loop(settled(ask_fault_loop(installation, question.model_copy(update={"by_length": True})))).encode()
