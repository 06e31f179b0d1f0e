"""What a browser keeps of fruit and the server has not: its page, its file, and the script that opens pages offline."""

import hashlib
import json
import zlib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, HTMLResponse, JSONResponse, Response
from sqlmodel import Session

from shedgrade import paths
from shedgrade.storage.bench import bench_sample
from shedgrade.web.answers import Answers
from shedgrade.web.bench_parts import bench_parts
from shedgrade.web.entries import NoEntriesError, SentEntry, read_entries
from shedgrade.web.fields import publishes
from shedgrade.web.once import FormSession
from shedgrade.web.pages import page
from shedgrade.web.posted import Posted
from shedgrade.web.state import CurrentPosted, CurrentShed
from shedgrade.web.static_files import static_version
from shedgrade.web.taking_in import HAD_ALREADY, STORED, Answer, Sender, take_in
from shedgrade.web.whoami import Grader

router = APIRouter()

FILE = "file"
MOST_IN_FILE = 5_000
_VERSION = 1
_NO_FILE = "Choose the file that the tablet gave."
_NO_SUCH_FILE = "This is not a file of unsent fruit. Choose the one that the tablet gave, unchanged."
_DAMAGED = "The file arrived damaged: what stands in it does not add up. Let the tablet give it once more."


@dataclass(frozen=True, slots=True)
class UnsentView:
    """The page of what this browser keeps; the browser itself fills it."""

    title: str = "Fruit on this tablet"


@dataclass(frozen=True, slots=True)
class NotTaken:
    """One entry of a file that was not stored: what it is, who measured it, and why."""

    what: str
    name: str
    says: str
    stands: str


@dataclass(frozen=True, slots=True)
class UnsentFileView:
    """The form that takes a tablet's file, and what became of the file that was sent: fruit ``stored``, voidings
    (``undone``), and the ``samples`` they are of, by id and consignment."""

    title: str = "A tablet's file of unsent fruit"
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    stored: int = 0
    undone: int = 0
    had_already: int = 0
    samples: tuple[tuple[int, str], ...] = ()
    not_taken: tuple[NotTaken, ...] = ()
    is_done: bool = False


@router.get("/unsent")
def unsent(request: Request, _person: Grader) -> HTMLResponse:
    """What this browser keeps and the server has not, and what a person has to decide about."""
    return page(request, "unsent/page.html", UnsentView())


@router.get("/unsent/file")
def ask(request: Request, _person: Grader) -> HTMLResponse:
    """The form that takes the file of a tablet that does not find the server again."""
    return page(request, "unsent/file.html", UnsentFileView())


@router.post("/unsent/file", openapi_extra=publishes(file=FILE))
def read(request: Request, person: Grader, session: FormSession, posted: CurrentPosted, shed: CurrentShed) -> Response:
    """Store what stands in the file, each entry by itself. A file read before changes nothing."""
    answers = Answers(posted)
    entries = _entries(posted, answers)
    if not answers.fine:
        view = UnsentFileView(typed=posted, errors=answers.errors)
        return page(request, "unsent/file.html", view, status=422)
    sha256 = hashlib.sha256(posted.files[FILE].content).hexdigest()
    sender = Sender(person, request.state.signed_in.device, None, sha256)
    answers_of_entries = take_in(session, sender, shed.clock, entries)
    view = replace(_became(entries, answers_of_entries), samples=_samples(session, entries, answers_of_entries))
    return page(request, "unsent/file.html", view)


@router.get("/service-worker.js")
def service_worker() -> FileResponse:
    """The script that opens the bench where the server does not answer; it may speak for every page, so it is served
    from the top."""
    script = paths.STATIC / "js" / "bench" / "service-worker.js"
    return FileResponse(script, media_type="text/javascript", headers={"cache-control": "no-cache"})


@router.get("/bench-parts")
def parts() -> JSONResponse:
    """The addresses of everything the bench is made of, for that script to keep; ``version`` changes with any of it."""
    return JSONResponse({"version": static_version(), "parts": bench_parts()})


def _entries(posted: Posted, answers: Answers) -> list[SentEntry]:
    sent = posted.files.get(FILE)
    if sent is None or not sent.name:
        answers.refuse(FILE, _NO_FILE)
        return []
    try:
        return _in_file(sent.content)
    except NoEntriesError as mistake:
        answers.refuse(FILE, str(mistake))
        return []


def _in_file(content: bytes) -> list[SentEntry]:
    """The entries of a file: JSON with the entries as a text of their own, and the CRC-32 of its UTF-8 bytes."""
    try:
        whole: Any = json.loads(content)
        text, sum_ = str(whole["entries"]), str(whole["crc32"])
        version = whole["version"]
        crc = f"{zlib.crc32(text.encode()):08x}"
    except (ValueError, LookupError, TypeError, RecursionError) as mistake:
        raise NoEntriesError(_NO_SUCH_FILE) from mistake
    if version != _VERSION:
        raise NoEntriesError(_NO_SUCH_FILE)
    if crc != sum_:
        raise NoEntriesError(_DAMAGED)
    return read_entries(text, MOST_IN_FILE)


def _became(entries: list[SentEntry], answers: list[Answer]) -> UnsentFileView:
    pairs = list(zip(entries, answers, strict=True))
    counts = Counter((bool(entry.voids), answer.answer) for entry, answer in pairs)
    left = tuple(
        NotTaken(_what(entry), entry.person_name, answer.says, answer.stands)
        for entry, answer in pairs
        if not answer.is_here
    )
    return UnsentFileView(
        stored=counts[False, STORED],
        undone=counts[True, STORED],
        had_already=counts[False, HAD_ALREADY] + counts[True, HAD_ALREADY],
        not_taken=left,
        is_done=True,
    )


def _samples(session: Session, entries: list[SentEntry], answers: list[Answer]) -> tuple[tuple[int, str], ...]:
    """The samples that fruit were stored in, each once."""
    pairs = zip(entries, answers, strict=True)
    ids = dict.fromkeys(entry.sample_id for entry, each in pairs if each.answer == STORED and not entry.voids)
    return tuple((each, bench_sample(session, each).consignment_name) for each in ids)


def _what(entry: SentEntry) -> str:
    """An entry in words, as typed."""
    if entry.voids:
        return f"A voiding: {entry.reason}"
    typed = [value if name == "weight" else f"{name.replace('-', ' ')} {value}" for name, value in entry.fields.fields]
    return ", ".join(typed) or "An entry without fields"
