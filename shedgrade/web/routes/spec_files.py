"""A spec file, read into a draft."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions import spec_drafts as actions
from shedgrade.actions.spec_drafts import DraftError, Writer
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import Mistake, SpecMistakes, read_spec
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.file_mistakes import plainly
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.posted import Posted
from shedgrade.web.state import CurrentPosted, CurrentShed
from shedgrade.web.whoami import SpecKeeper

router = APIRouter(prefix="/specs/import")

FILE = "file"
_MOST_BYTES = 400_000
_NOTHING = "Choose a spec file, or put its text into the field below."


@dataclass(frozen=True, slots=True)
class ImportView:
    """The form that takes a file or its text, and every mistake in it, each with a plain sentence."""

    title: str
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    mistakes: tuple[tuple[Mistake, str], ...] = ()


@router.get("")
def ask(request: Request, _person: SpecKeeper) -> HTMLResponse:
    """The form."""
    return page(request, "drafts/import.html", ImportView("A spec from a file"))


@router.post("", openapi_extra=publishes("text", file=FILE))
def read(
    request: Request, person: SpecKeeper, session: FormSession, posted: CurrentPosted, shed: CurrentShed
) -> Response:
    """Check the whole file; make a draft of it, or say every mistake and keep the text in the form."""
    answers = Answers(posted)
    text = _text(posted, answers)
    spec, mistakes = (None, ()) if answers.errors else _spec(text, answers)
    if spec is not None:
        try:
            draft = actions.take_in(session, spec, Writer(person.id, shed.clock.now()))
            return done(request, session, person, posted, f"/drafts/{draft.id}")
        except DraftError as mistake:
            answers.refuse("text", str(mistake))
    view = ImportView(
        "A spec from a file", {"text": text}, answers.errors, tuple((each, plainly(each)) for each in mistakes)
    )
    return page(request, "drafts/import.html", view, status=422)


def _text(posted: Posted, answers: Answers) -> str:
    """The text of the file chosen, else the one typed."""
    sent = posted.files.get(FILE)
    if sent is None or not sent.name:
        text = posted.get("text", "")
        if not text.strip():
            answers.refuse(FILE, _NOTHING)
        return text.replace("\r\n", "\n")
    if len(sent.content) > _MOST_BYTES:
        answers.refuse(FILE, "That file is longer than any spec. Choose a spec file, at most 400 kB.")
        return ""
    try:
        return sent.content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        answers.refuse(FILE, "That file is not plain text. Choose a spec file, UTF-8.")
        return ""


def _spec(text: str, answers: Answers) -> tuple[Spec | None, tuple[Mistake, ...]]:
    try:
        return read_spec(text, library.crops()), ()
    except SpecMistakes as found:
        count = len(found.mistakes)
        places = "1 place cannot be read" if count == 1 else f"{count} places cannot be read"
        answers.refuse("text", f"{places}, listed below. The text is kept here: put it right and send it again.")
        return None, found.mistakes
