"""A leg touches a frame."""

from typing import Annotated

import typer

from faultpath.answers.law import answers_of
from faultpath.answers.loop_said import Clearing
from faultpath.commands.ending import code
from faultpath.commands.files import read_file, write_file
from faultpath.commands.options import AsJson, Asked, File, Media, Plot
from faultpath.commands.printing import tell
from faultpath.http.asking import ask_fault_loop, settled
from faultpath.http.messages import FaultLoopQuestion, read_question
from faultpath.printed.currents import print_fault_loop


def fault_loop(
    file: File,
    asked: Asked,
    multiple: Annotated[float | None, typer.Option(help="Fault current over the rating, for length limits.")] = None,
    arc_volts: Annotated[float | None, typer.Option(help="Voltage lost in the arc, for length limits.")] = None,
    as_json: AsJson = False,
    plot: Plot = None,
    media: Media = None,
) -> int:
    """A leg touches a frame: which way the current returns, when the device opens, what can be touched until then."""
    chosen = {"multiple": multiple, "arc_volts": arc_volts, "by_length": plot is not None}
    question = read_question(FaultLoopQuestion, {**asked.as_request(), **chosen})
    answer = ask_fault_loop(read_file(file, media), question)
    if plot is not None:
        from faultpath.plots import plot_fault_loop  # drawing is seldom asked for

        write_file(plot, plot_fault_loop(settled(answer)).encode())
    tell(answer, as_json, print_fault_loop)
    clears = {loop.clears for found in answers_of(answer) for loop in found.loops}
    return code(fails=Clearing.DOES_NOT_OPEN in clears, undecided=not clears.isdisjoint({Clearing.MAY_NOT_OPEN, Clearing.NOT_KNOWN}))
