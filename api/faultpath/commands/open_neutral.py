"""The neutral opens."""

from faultpath.answers.law import answers_of
from faultpath.commands.ending import code
from faultpath.commands.files import read_file, write_file
from faultpath.commands.options import AsJson, Asked, File, Media, Plot
from faultpath.commands.printing import tell
from faultpath.http.asking import ask_open_neutral, settled
from faultpath.http.messages import OpenNeutralQuestion, read_question
from faultpath.printed.currents import print_open_neutral


def open_neutral(file: File, asked: Asked, as_json: AsJson = False, plot: Plot = None, media: Media = None) -> int:
    """The neutral opens: what legs and frames then stand at, and where its current divides already."""
    question = read_question(OpenNeutralQuestion, asked.as_request())
    answer = ask_open_neutral(read_file(file, media), question)
    if plot is not None:
        from faultpath.plots import plot_open_neutral  # drawing is seldom asked for

        write_file(plot, plot_open_neutral(settled(answer)).encode())
    tell(answer, as_json, print_open_neutral)
    return code(fails=False, undecided=any(not opening.legs for found in answers_of(answer) for opening in found.openings))
