"""The supply path of equipment."""

from faultpath.answers.law import answers_of
from faultpath.commands.ending import code
from faultpath.commands.files import read_file
from faultpath.commands.options import AsJson, Asked, File, Media
from faultpath.commands.printing import tell
from faultpath.http.asking import ask_origin
from faultpath.http.messages import OriginQuestion, read_question
from faultpath.printed.origin import print_origin


def origin(file: File, asked: Asked, as_json: AsJson = False, media: Media = None) -> int:
    """The supply path of equipment, named from the source on."""
    question = read_question(OriginQuestion, asked.as_request())
    answer = ask_origin(read_file(file, media), question)
    tell(answer, as_json, print_origin)
    return code(fails=False, undecided=any(stage.missing for found in answers_of(answer) for path in found.paths for stage in path.stages))
