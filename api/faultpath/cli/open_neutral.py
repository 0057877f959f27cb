"""The neutral opens."""

from faultpath.answers.law import answers_of
from faultpath.cli.exit_codes import code
from faultpath.cli.files import read_file, write_file
from faultpath.cli.options import AsJson, File, LawOptions, Media, Plot
from faultpath.cli.printing import tell
from faultpath.present.text.currents import print_open_neutral
from faultpath.service.jurisdiction import settled
from faultpath.service.open_neutral import OpenNeutralQuestion, ask_open_neutral
from faultpath.service.requests import read_question


def open_neutral(file: File, asked: LawOptions, as_json: AsJson = False, plot: Plot = None, media: Media = None) -> int:
    """The neutral opens: what legs and frames then stand at, and where its current divides already."""
    question = read_question(OpenNeutralQuestion, asked.as_request())
    answer = ask_open_neutral(read_file(file, media), question)
    if plot is not None:
        from faultpath.present.plots import plot_open_neutral  # drawing is seldom asked for

        write_file(plot, plot_open_neutral(settled(answer)).encode())
    tell(answer, as_json, print_open_neutral)
    return code(fails=False, undecided=any(not opening.legs for found in answers_of(answer) for opening in found.openings))
