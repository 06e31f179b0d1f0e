"""The page of one published spec version: what it says, how it stands, and what can be done with it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.actions.spec_confirmations import open_values
from shedgrade.domain.people import Deed, Person
from shedgrade.storage import specs
from shedgrade.storage.spec_confirmations import Confirmed, confirmed_of
from shedgrade.storage.specs import Retired, Users
from shedgrade.storage.tables import Market, SpecVersion
from shedgrade.web.pages import page, say_day
from shedgrade.web.spec_body import SpecBody, confirmed_in, spec_body


@dataclass(frozen=True, slots=True)
class Retiring:
    """The form that retires a version: as typed, what is wrong with it, and a sentence if it came too late."""

    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""


@dataclass(frozen=True, slots=True)
class SpecView:
    """A published version. ``others`` are the other versions of the same spec, ``open_values`` how many of its figures
    nobody has confirmed; ``users`` is None for those who do not see the shed; ``behind`` are the markets on an older
    version, for whoever may let them buy under this one."""

    title: str
    body: SpecBody
    row: SpecVersion
    others: list[SpecVersion]
    retired: Retired | None
    users: Users | None
    confirmed: list[Confirmed]
    open_values: int
    may_keep: bool
    behind: list[tuple[Market, SpecVersion]]
    retiring: Retiring


def spec_page(
    request: Request,
    session: Session,
    person: Person,
    row: SpecVersion,
    retiring: Retiring | None = None,
    *,
    status: int = 200,
) -> HTMLResponse:
    """One version, to read."""
    row_id = row.id or 0
    confirmed = dict(confirmed_of(session, row_id))
    view = SpecView(
        title=row.title,
        body=spec_body(confirmed_in(specs.spec_in(row), confirmed, say_day, person)),
        row=row,
        others=[each for each in specs.versions(session) if each.spec_key == row.spec_key and each.id != row.id],
        retired=specs.retirement_of(session, row_id),
        users=specs.users_of(session, row_id) if person.may(Deed.SEE_SHED) else None,
        confirmed=list(confirmed.values()),
        open_values=len(open_values(session, row)),
        may_keep=person.may(Deed.KEEP_SPECS),
        behind=_behind(session, row) if person.may(Deed.KEEP_MARKETS) else [],
        retiring=retiring or Retiring(),
    )
    return page(request, "specs/page.html", view, status=status)


def _behind(session: Session, row: SpecVersion) -> list[tuple[Market, SpecVersion]]:
    """The markets that buy under an older version of the same spec; none for a version that is not the newest."""
    if specs.retirement_of(session, row.id or 0) is not None or specs.newer_than(session, row) is not None:
        return []
    return specs.markets_on(
        session, [each for each in specs.of_spec(session, row.spec_key) if each.version < row.version]
    )
