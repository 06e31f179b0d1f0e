"""What a tablet kept of fruit and of what is to be voided, taken in; and which of its ids are here."""

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import JSONResponse
from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.storage.captures import known
from shedgrade.web.entries import MOST_ENTRIES, NoEntriesError, is_key, read_entries
from shedgrade.web.fields import publishes
from shedgrade.web.last_saved import say_at_the_door
from shedgrade.web.state import CurrentPosted, ReadSession, WriteSession, the_shed
from shedgrade.web.taking_in import Answer, Sender, take_in
from shedgrade.web.whoami import person_in, who_may

router = APIRouter(prefix="/fruit-entries")


@router.post("", openapi_extra=publishes("entries"))
def store(request: Request, session: WriteSession, posted: CurrentPosted) -> JSONResponse:
    """Store what was kept, each entry by itself: an answer for each, by its id. The same entry sent again is answered
    alike. ``entries`` is a list as JSON, in the order captured (``web/entries.py``); ``sender`` is who is signed in
    now, which the page that sends need not know."""
    person = _sender(session, request)
    try:
        entries = read_entries(posted.get("entries", ""))
    except NoEntriesError as mistake:
        raise HTTPException(422, str(mistake)) from mistake
    here = request.state.signed_in
    answers = take_in(session, Sender(person, here.device, here.tablet_id), the_shed(request).clock, entries)
    told = JSONResponse({"sender": person.id, "answers": [each.told for each in answers]})
    if saved := _last_fruit(answers):
        say_at_the_door(request, told, f"Fruit {saved.number} was saved: {saved.class_word}.")
    return told


@router.get("")
def ask(request: Request, session: ReadSession, keys: str = "") -> JSONResponse:
    """Which of these ids, separated by commas, fruit is stored under: each with whether it is voided."""
    person = _sender(session, request)
    asked = keys.split(",") if keys else []
    if len(asked) > MOST_ENTRIES:
        raise HTTPException(422, f"{len(asked)} ids were asked for at once; at most {MOST_ENTRIES} are answered.")
    return JSONResponse({"sender": person.id, "known": known(session, [key for key in asked if is_key(key)])})


def _sender(session: Session, request: Request) -> Person:
    """Who is signed in where a page asks and sends by itself, again and again: that is no touch, and what was on the
    scale when the tablet fell idle is taken even so."""
    return who_may(person_in(session, request, even_idle=True, is_touch=False), Deed.GRADE)


def _last_fruit(answers: list[Answer]) -> Answer | None:
    return next((each for each in reversed(answers) if each.is_here and each.class_word), None)
