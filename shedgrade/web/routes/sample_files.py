"""A file of measured fruit, read as a sample of a consignment."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions.sample_files import FruitOfFile, NewFileSample, ReadBeforeError, store_file
from shedgrade.domain.crop import Crop, Measured
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.units import digits
from shedgrade.exchange.sample_csv import MOST_ROWS, FileMistakes, SampleFile, read_sample
from shedgrade.storage import intake, markets, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.samples import SampleLine, samples_of
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
_A_TABLETS = "This is a tablet's file of fruit not sent. Hand it in by the link above the form."
_READ_BEFORE = "This very file was read before for this consignment; its fruit would count twice."


@dataclass(frozen=True, slots=True)
class SampleFileView:
    """The form that reads a file, and what is wrong with the file that was sent; ``held`` is the sample it is."""

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
    held: SampleLine | None = None

    @property
    def questions(self) -> list[tuple[str, str]]:
        """What a sample can answer: value and word."""
        return [(each.value, each.label) for each in Question]

    @property
    def example(self) -> str:
        """A file that would be accepted: weight, colour, two marks that are measured, one that is there or not."""
        measured = [kind.name for kind in self.crop.kinds if kind.measure is not Measured.PRESENT][:2]
        present = [kind.name for kind in self.crop.kinds if kind.measure is Measured.PRESENT][:1]
        stage = [f"{each.number}" for each in self.crop.stages][-3:]
        rows = [["weight g", "bin", *(["colour stage"] if stage else []), *measured, *present]]
        for fruit, marks in enumerate((["2.5", ""], ["", "0.8"], ["0", "0"])):
            colour = [stage[min(fruit, len(stage) - 1)]] if stage else []
            there = ["yes" if fruit == 1 else ""] if present else []
            rows.append([("412", "385.5", "440")[fruit], "112"[fruit], *colour, *marks[: len(measured)], *there])
        return "\n".join(map(",".join, rows))


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
        sha256 = hashlib.sha256(posted.files[FILE].content).hexdigest()
        new = NewFileSample(consignment_id, question, tray_id, file.looked_for, person.id, now, sha256)
        fruit = [FruitOfFile(row.draw, row.fruit, row.size_code) for row in file.fruit]
        try:
            return done(request, session, person, posted, f"/samples/{store_file(session, new, fruit)}")
        except ReadBeforeError as before:
            held = next(each for each in samples_of(session, whole.id) if each.sample.id == before.sample_id)
            answers.refuse(FILE, _READ_BEFORE)
            view = replace(_view(session, whole, posted, answers.errors, file_name=_name(posted)), held=held)
            return page(request, "samples/file.html", view, status=409)
    view = _view(session, whole, posted, answers.errors, mistakes, _name(posted))
    return page(request, "samples/file.html", view, status=422)


def _file(
    session: Session, whole: ConsignmentWhole, posted: Posted, answers: Answers
) -> tuple[SampleFile | None, FileMistakes | None]:
    sent = posted.files.get(FILE)
    if sent is None or not sent.name:
        answers.refuse(FILE, _NO_FILE)
        return None, None
    if _is_a_tablets(sent.content):
        answers.refuse(FILE, _A_TABLETS)
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


def _is_a_tablets(content: bytes) -> bool:
    """Whether it is what a tablet gives of fruit not sent (static/js/bench/rescue-file.js)."""
    return content.lstrip().startswith(b"{") and b'"crc32"' in content


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
