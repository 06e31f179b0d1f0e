"""A file of measured fruit, read as a sample of a consignment."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions.sample_files import FruitOfFile, NewFileSample, store_file
from shedgrade.domain.crop import Crop
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.units import digits
from shedgrade.exchange.sample_csv import MOST_ROWS, FileMistakes, SampleFile, read_sample
from shedgrade.storage import intake, markets, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.posted import Posted
from shedgrade.web.standing import must_stand
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.whoami import Grader

router = APIRouter()

FILE = "file"
_NO_FILE = "Choose a CSV file of measured fruit."


@dataclass(frozen=True, slots=True)
class SampleFileView:
    """The form that reads a file, and what is wrong with the file that was sent."""

    title: str
    consignment_name: str
    consignment_id: int
    trays: list[tuple[int, str]]
    crop: Crop
    most_rows: str
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    mistakes: FileMistakes | None = None
    file_name: str = ""

    @property
    def questions(self) -> list[tuple[str, str]]:
        """What a sample can answer: value and word."""
        return [(each.value, each.label) for each in Question]

    @property
    def example(self) -> str:
        """A file that would be accepted."""
        measured = [kind.name for kind in self.crop.kinds][:2]
        return "\n".join([",".join(["weight g", "bin", *measured]), "412,1,2.5,", "385.5,1,,0.8", "440,2,0,0"])


@router.get("/consignments/{consignment_id}/sample-file")
def ask(request: Request, person: Grader, session: ReadSession, consignment_id: RowId) -> HTMLResponse:
    """The form that takes a file."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    return page(request, "samples/file.html", _view(session, whole))


@router.post("/consignments/{consignment_id}/sample-file", openapi_extra=publishes("question", "tray", file=FILE))
def read(
    request: Request, person: Grader, session: FormSession, posted: CurrentPosted, consignment_id: RowId
) -> Response:
    """Check the whole file; store all of it as one sample, or nothing and say every mistake."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    blank = _view(session, whole)
    answers = Answers(posted)
    question = answers.choice("question", {each.value: each for each in Question})
    trays = {str(tray_id): tray_id for tray_id, _ in blank.trays}
    tray_id = answers.choice("tray", trays, needed=bool(trays))
    file, mistakes = _file(session, whole, posted, answers)
    if answers.fine and file is not None and question is not None:
        now = request.app.state.shed.clock.now()
        new = NewFileSample(consignment_id, question, tray_id, file.looked_for, person.id, now)
        sample_id = store_file(session, new, [FruitOfFile(row.draw, row.fruit, row.size_code) for row in file.fruit])
        return done(request, session, person, posted, f"/samples/{sample_id}")
    view = _view(session, whole, posted, answers.errors, mistakes, _name(posted))
    return page(request, "samples/file.html", view, status=422)


def _file(
    session: Session, whole: ConsignmentWhole, posted: Posted, answers: Answers
) -> tuple[SampleFile | None, FileMistakes | None]:
    sent = posted.files.get(FILE)
    if sent is None or not sent.name:
        answers.refuse(FILE, _NO_FILE)
        return None, None
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    try:
        return read_sample(sent.content, spec.crop, spec), None
    except FileMistakes as mistakes:
        count = len(mistakes.mistakes) + mistakes.more
        answers.refuse(
            FILE, f"{digits(count)} {'place' if count == 1 else 'places'} in the file cannot be read, listed below."
        )
        return None, mistakes


def _name(posted: Posted) -> str:
    sent = posted.files.get(FILE)
    return sent.name[:80] if sent is not None else ""


def _view(
    session: Session,
    whole: ConsignmentWhole,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    mistakes: FileMistakes | None = None,
    file_name: str = "",
) -> SampleFileView:
    trays = markets.market(session, whole.consignment.market_id).trays
    return SampleFileView(
        title=f"A file of measured fruit of {whole.name}",
        consignment_name=f"{whole.name}, {whole.block.name}",
        consignment_id=whole.id,
        trays=[(tray_id, tray.name) for tray_id, tray in trays],
        crop=specs.spec_of(session, whole.consignment.spec_version_id).crop,
        most_rows=digits(MOST_ROWS),
        typed=typed or {},
        errors=errors or {},
        mistakes=mistakes,
        file_name=file_name,
    )
