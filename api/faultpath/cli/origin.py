"""The supply path of equipment."""

from faultpath.answers.law import answers_of
from faultpath.cli.exit_codes import code
from faultpath.cli.files import read_file
from faultpath.cli.options import AsJson, File, LawOptions, Media
from faultpath.cli.printing import tell
from faultpath.present.text.origin import print_origin
from faultpath.service.origin import OriginQuestion, ask_origin
from faultpath.service.requests import read_question


def origin(file: File, asked: LawOptions, as_json: AsJson = False, media: Media = None) -> int:
    """The supply path of equipment, named from the source on."""
    question = read_question(OriginQuestion, asked.as_request())
    answer = ask_origin(read_file(file, media), question)
    tell(answer, as_json, print_origin)
    return code(fails=False, undecided=any(stage.missing for found in answers_of(answer) for path in found.paths for stage in path.stages))
