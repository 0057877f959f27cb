"""A leg touches a frame."""

from typing import Annotated

import typer

from faultpath.answers.fault_loop_text import Clearing
from faultpath.answers.law import answers_of
from faultpath.cli.exit_codes import code
from faultpath.cli.files import read_file, write_file
from faultpath.cli.options import AsJson, File, LawOptions, Media, Plot
from faultpath.cli.printing import tell
from faultpath.present.text.currents import print_fault_loop
from faultpath.service.fault_loop import FaultLoopQuestion, ask_fault_loop
from faultpath.service.jurisdiction import settled
from faultpath.service.requests import read_question


def fault_loop(
    file: File,
    asked: LawOptions,
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
        from faultpath.present.plots import plot_fault_loop  # drawing is seldom asked for

        write_file(plot, plot_fault_loop(settled(answer)).encode())
    tell(answer, as_json, print_fault_loop)
    clears = {loop.clears for found in answers_of(answer) for loop in found.loops}
    return code(fails=Clearing.DOES_NOT_OPEN in clears, undecided=not clears.isdisjoint({Clearing.MAY_NOT_OPEN, Clearing.NOT_KNOWN}))
