"""The first page of a new shed: what to set up, in order, until all of it is there."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from sqlmodel import Session

from shedgrade.domain.people import Role
from shedgrade.storage import tables
from shedgrade.storage.beginnings import Beginnings, beginnings
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.visitor import Visitor, parsed, visitor, words

NOW = datetime(2026, 1, 14, 3, tzinfo=UTC)


def a_tare(session: Session, state: str = "dry") -> None:
    bin_type = tables.BinType(name=f"Half-ton {state}")
    session.add(bin_type)
    session.flush()
    session.add(
        tables.Tare(
            bin_type_id=bin_type.id or 0,
            weighed_on=NOW.date(),
            state=state,
            empties=2,
            total_g=80_000,
            weighed_by_id=season.shed_person(session, "Bench two"),
        )
    )


def prices(session: Session) -> None:
    tray = season.tray_type(session)
    market = season.market(session, season.spec_version(session), [tray])
    season.price_list(session, market, {(tray, "I", 14): 2400})


SETTING_UP: dict[str, Callable[[Session], object]] = {
    "block": lambda session: season.block(session, season.grower(session)),
    "tare": a_tare,
    "tray": season.tray_type,
    "prices": prices,
    "people": lambda session: season.shed_person(session, "Somebody else"),
}


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


def do(database: Database, deed: Callable[[Session], object]) -> None:
    with database.writing() as session:
        deed(session)
        session.commit()


def marks(keeper: Visitor) -> list[str]:
    return [each.get_text(strip=True) for each in parsed(keeper.get("/")).select(".road .mark")]


def test_a_new_shed_is_told_what_to_set_up_in_order(keeper: Visitor) -> None:
    page = parsed(keeper.get("/"))
    assert [step.get_text() for step in page.select(".road h2")] == [
        "Growers and their blocks",
        "Bins, and some of them weighed empty",
        "Tray types",
        "A market, with its spec and its prices",
        "The people, and the tablets they use",
    ]
    links = [str(link["href"]) for link in page.select(".road a")]
    assert links == ["/growers", "/bins", "/trays", "/markets", "/specs", "/people", "/devices"]
    assert [keeper.get(href).status_code for href in links] == [200] * 7
    assert [str(link["href"]) for link in page.select("main .button.act")] == ["/growers"]
    assert marks(keeper) == ["next", "to do", "to do", "to do", "to do"]


def test_each_step_is_ticked_when_it_is_done_and_the_last_one_ends_the_page(
    keeper: Visitor, sqlite_database: Database
) -> None:
    do(sqlite_database, SETTING_UP["block"])
    assert marks(keeper) == ["done", "next", "to do", "to do", "to do"]
    do(sqlite_database, SETTING_UP["prices"])
    assert marks(keeper) == ["done", "next", "done", "done", "to do"]
    assert "Setting up the shed: 3 of 5 done" in words(parsed(keeper.get("/")))
    do(sqlite_database, SETTING_UP["tare"])  # by somebody else, who is in the books from then on
    assert keeper.get("/").headers["location"] == "/consignments"


def test_nobody_else_is_shown_it(sqlite_database: Database) -> None:
    for role in (Role.SUPERVISOR, Role.GRADER, Role.MARKETER):
        assert visitor(sqlite_database, role).get("/").headers["location"] == "/consignments"


@pytest.mark.parametrize("what", SETTING_UP)
def test_each_beginning_is_seen_by_itself(database: Database, what: str) -> None:
    with database.writing() as session:
        season.shed_person(session, "Manager", Role.MANAGER)
        assert beginnings(session) == Beginnings(block=False, tare=False, tray=False, prices=False, people=False)
        SETTING_UP[what](session)
        session.flush()
        assert getattr(beginnings(session), what) is True


def test_empties_weighed_wet_and_people_who_left_do_not_count(database: Database) -> None:
    with database.writing() as session:
        season.shed_person(session, "Manager", Role.MANAGER)
        a_tare(session, "wet")
        gone = session.get_one(tables.PersonRow, season.shed_person(session, "Bench two"))
        gone.active = False
        session.add(gone)
        session.flush()
        assert not beginnings(session).tare
        assert not beginnings(session).people
