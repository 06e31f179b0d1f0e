"""A history as its page shows it: by day, the newest first."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from fastapi import Request
from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.reports.history import Line, Reader, lines_of
from shedgrade.storage import settings
from shedgrade.storage.history import Told
from shedgrade.web.clock import Clock
from shedgrade.web.pages import say_day, say_moment
from shedgrade.web.state import the_shed

PAGE = 100

Read = Callable[[int, int], list[Told]]
"""Gives at most so many changes, after some skipped; the newest first."""


@dataclass(frozen=True, slots=True)
class About:
    """What a history is of: in words, with the page it belongs to and what that page is called; ``one_sample`` where
    that is a sample."""

    words: str
    back: str
    back_words: str
    one_sample: bool = False


@dataclass(frozen=True, slots=True)
class Sentence:
    """One change and the time of day it was made: its words, of which ``linked`` lead to ``href``, and those after."""

    time: str
    words: str
    linked: str = ""
    after: str = ""
    href: str = ""


@dataclass(frozen=True, slots=True)
class HistoryView:
    """Some of the changes of something by day; ``earlier`` is the address of those before, "" where there are none.

    ``kept_until`` is the day before which the newest of them is not deleted, None without any.
    """

    title: str
    about: About
    answer: str
    days: list[tuple[date, list[Sentence]]]
    earlier: str
    kept_until: date | None


def history_view(
    request: Request, session: Session, person: Person, about: About, changes: Read, skip: int
) -> HistoryView:
    """The view of a hundred changes."""
    clock = the_shed(request).clock
    found = changes(PAGE + 1, skip)
    reader = Reader(person, say_day, lambda moment: say_moment(clock.local(moment)))
    lines = lines_of(session, found[:PAGE], reader, one_sample=about.one_sample)
    return HistoryView(
        title=f"History of {about.words}",
        about=about,
        answer=_answer(lines, clock, skip),
        days=_by_day(lines, clock),
        earlier=f"{request.url.path}?skip={skip + PAGE}" if len(found) > PAGE else "",
        kept_until=settings.kept_until(session, clock.local(lines[0].at)) if lines else None,
    )


def _answer(lines: list[Line], clock: Clock, skip: int) -> str:
    if not lines:
        return "Nothing is written down here yet" if not skip else "There is nothing before this"
    when = say_moment(clock.local(lines[0].at))
    return f"Up to {when}" if skip else f"Last changed by {lines[0].by}, {when}"


def _by_day(lines: list[Line], clock: Clock) -> list[tuple[date, list[Sentence]]]:
    local = [(clock.local(line.at), line) for line in lines]
    return [
        (day, [_with_link(f"{moment:%H:%M}", line) for moment, line in some])
        for day, some in groupby(local, key=lambda each: each[0].date())
    ]


def _with_link(time: str, line: Line) -> Sentence:
    if not line.linked:
        return Sentence(time, line.sentence)
    before, _, after = line.sentence.partition(line.linked)
    return Sentence(time, before, line.linked, after, f"/samples/{line.sample_id}")
