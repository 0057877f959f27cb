"""Supply paths as plain text."""

from faultpath.answers.origin import OriginAnswer
from faultpath.present.text.page import Page, print_missing


def print_origin(page: Page, answer: OriginAnswer) -> None:
    """Each supply path, stage by stage."""
    page.line(f"Supply paths of {answer.record.installation} under edition {answer.record.edition}")
    page.line(answer.caution)
    for path in answer.paths:
        page.line()
        page.line(f"{path.about}: originates at {path.origin}" if path.origin else path.about)
        page.table(
            ("  Stage", "Is a", "Role", "Side"), (("  " + s.id, s.is_a, s.role or "-", s.side or ("not known" if s.missing else "-")) for s in path.stages)
        )
        print_missing(page, list(dict.fromkeys(fact for stage in path.stages for fact in stage.missing)))
