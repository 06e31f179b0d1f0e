"""What the running program holds, and how a handler gets at it."""

from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Annotated, cast

from fastapi import Depends, Request
from sqlmodel import Session

from shedgrade.domain.settings import WordsRule
from shedgrade.reports.run_mix import KeptMixes
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.storage.history import act_as_nobody
from shedgrade.web.clock import Clock
from shedgrade.web.kept import KeptForms
from shedgrade.web.posted import Posted, read_posted
from shedgrade.web.tls import Tls


@dataclass(frozen=True, slots=True)
class Shed:
    """The one running program: its settings, database and clock, the token that opens the set-up page from another
    machine ("" opens nothing), what people had typed when their sign-in ended, what was read of runs for
    their boards, and how it serves by https (None where it does not itself)."""

    settings: Settings
    database: Database
    clock: Clock
    set_up_token: str = ""
    kept: KeptForms = field(default_factory=KeptForms)
    mixes: KeptMixes = field(default_factory=KeptMixes)
    tls: Tls | None = None

    def started_with(self, rule: WordsRule) -> WordsRule:
        """The rule of the shed's name; until one is set it is what the program was started with."""
        return replace(rule, default=self.settings.shed_name)


def the_shed(request: Request) -> Shed:
    """The running program a request came to."""
    return cast("Shed", request.app.state.shed)


async def read_session(request: Request) -> AsyncIterator[Session]:
    """A session that only reads."""
    with the_shed(request).database.reading() as session, _drawn_with(request, session):
        yield session


async def write_session(request: Request, _posted: Annotated[Posted, Depends(read_posted)]) -> AsyncIterator[Session]:
    """A session that may change things once it is known for whom (``whoami.person_in``). The handler commits. The whole
    form is asked for first, so that a slow sender never holds up the others."""
    with the_shed(request).database.writing() as session:
        act_as_nobody(session)
        with _drawn_with(request, session):
            yield session


@contextmanager
def _drawn_with(request: Request, session: Session) -> Iterator[None]:
    """While it is open, pages ask this session for what stands in their frame (``pages.page``), and open none besides:
    whoever holds one connection and waits for another can wait for somebody who does the same."""
    request.state.session = session
    try:
        yield
    finally:
        request.state.session = None


CurrentShed = Annotated[Shed, Depends(the_shed)]
ReadSession = Annotated[Session, Depends(read_session, scope="function")]
# One writer at a time, waiting in front of the thread pool: eight clients waiting inside SQLite instead made the
# slowest reply in a hundred thirteen times slower at the same throughput.
WriteSession = Annotated[Session, Depends(write_session, scope="function", max_concurrency=1)]
CurrentPosted = Annotated[Posted, Depends(read_posted)]
