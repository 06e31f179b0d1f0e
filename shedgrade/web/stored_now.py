"""What a form says that was sent at a stale version: who saved the row meanwhile, when and where, and what is stored.

Every editing route does the same: on StaleError it answers 409 with these words and the row's new version, so that
sending the form again puts what was typed in its place; on any other refusal the form keeps the version it came with,
or a mistake in a field would let it overwrite what its reader has never seen.
"""

from collections.abc import Mapping
from datetime import datetime
from types import MappingProxyType

from fastapi import Request
from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.storage.history import Told, last_change
from shedgrade.web.clock import Clock
from shedgrade.web.pages import say_moment
from shedgrade.web.state import the_shed


def stored_now(request: Request, session: Session, noun: str, row_id: int, stored: str = "") -> str:
    """Who saved a row last, and what is stored: "Shed manager saved this at 14:05, on Bench tablet 1. Stored now: Ridge
    4, 2 ha". ``stored`` is the last part, "" where that would be too long."""
    told = last_change(session, noun, row_id)
    clock, person = the_shed(request).clock, request.state.person
    saved = "Somebody saved this" if told is None else saved_by(told, person, clock)
    return f"{saved}. Stored now: {stored}" if stored else saved


def differing(
    typed: Mapping[str, str], stored: Mapping[str, str], words: Mapping[str, str] = MappingProxyType({})
) -> dict[str, str]:
    """By field what is stored where something else was typed, to be shown beside it (``differs`` of a form's view).
    ``stored`` holds what the form would hold if it was opened now, ``words`` how that is said where it is a key."""
    return {
        name: words.get(name) or value or "nothing"
        for name, value in stored.items()
        if " ".join(typed.get(name, "").split()) != value
    }


def saved_by(told: Told, person: Person, clock: Clock) -> str:
    """Who saved it, when and where; whoever has two windows open hears "You saved this yourself"."""
    by = "You saved this yourself" if told.person_id == person.id else f"{told.doer.told_to(person)} saved this"
    where = f", {told.where}" if told.where else ""
    return f"{by} {_when(clock.local(told.at), clock)}{where}"


def _when(moment: datetime, clock: Clock) -> str:
    return f"at {moment:%H:%M}" if moment.date() == clock.today() else f"on {say_moment(moment)}"
