"""The page of a draft: what it says so far, what has been changed, and what can be done with it."""

from dataclasses import dataclass

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec.comparing import compare
from shedgrade.storage import spec_drafts, specs
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.storage.tables import SpecVersion
from shedgrade.web.draft_doubts import DoubtLine, doubt_lines
from shedgrade.web.draft_fields import parts_of
from shedgrade.web.draft_steps import last_step, undone_step
from shedgrade.web.pages import page
from shedgrade.web.spec_body import SpecBody, spec_body
from shedgrade.web.stored_now import stored_now


@dataclass(frozen=True, slots=True)
class DraftView:
    """A draft. ``newer`` is a version of the same spec published since it was copied; ``changed`` how many things
    differ from what it was copied from; ``last`` tells the change that can be undone, ``undone`` the one that can be
    had again, "" for none; ``notice`` says what was not done, ``stored_now`` what somebody else saved."""

    title: str
    draft: DraftWhole
    body: SpecBody
    newer: SpecVersion | None
    changed: int
    parts: list[tuple[str, str, str]]
    last: str
    undone: str
    may_keep: bool
    doubts: list[DoubtLine]
    notice: str
    stored_now: str


def draft_page(
    request: Request,
    session: Session,
    person: Person,
    found: DraftWhole,
    *,
    notice: str = "",
    stale: bool = False,
    status: int = 200,
) -> HTMLResponse:
    """A draft, to read and to go on with."""
    based_on = found.based_on
    view = DraftView(
        title=found.row.title,
        draft=found,
        body=spec_body(found.spec),
        newer=spec_drafts.newer_than_base(session, found) if found.is_open else None,
        changed=0 if based_on is None else len(compare(specs.spec_in(based_on), found.spec)),
        parts=parts_of(found.spec),
        last=last_step(request, session, person, found),
        undone=undone_step(found),
        may_keep=person.may(Deed.KEEP_SPECS),
        doubts=doubt_lines(found, person),
        notice=notice,
        stored_now=draft_now(request, session, found) if stale else "",
    )
    return page(request, "drafts/page.html", view, status=409 if stale else status)


def draft_now(request: Request, session: Session, found: DraftWhole) -> str:
    """Who saved a draft last, and when: what it says now stands on its page."""
    return stored_now(request, session, "spec draft", found.id)
