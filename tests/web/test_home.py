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


def a_market(session: Session, name: str = "City", net_g: int = 4000) -> tuple[int, int]:
    tray = season.tray_type(session, net_g)
    return tray, season.market(session, season.spec_version(session), [tray], name=name)


def prices(session: Session) -> None:
    tray, market = a_market(session, "Town", 7000)
    season.price_list(session, market, {(tray, "I", 14): 2400})


def a_tablet(session: Session) -> None:
    session.add(tables.Tablet(name="Bench 1", token_sha256="0" * 64, registered_at=NOW, registered_by_id=1))


SETTING_UP: dict[str, Callable[[Session], object]] = {
    "block": lambda session: season.block(session, season.grower(session)),
    "tare": a_tare,
    "tray": season.tray_type,
    "market": a_market,
    "prices": prices,
    "people": lambda session: season.shed_person(session, "Somebody else"),
    "tablet": a_tablet,
    "docket": lambda session: session.add(tables.Docket(number="1042", received_at=NOW)),
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
        "The people who work here",
        "A shed tablet, if you use one",
    ]
    links = [str(link["href"]) for link in page.select(".road a")]
    assert links == ["/growers", "/bins", "/trays", "/markets", "/specs", "/people", "/devices"]
    assert [keeper.get(href).status_code for href in links] == [200] * 7
    assert [str(link["href"]) for link in page.select("main .button.act")] == ["/growers"]
    assert marks(keeper) == ["next", "to do", "to do", "to do", "to do", "if you use one"]


def test_each_step_is_ticked_when_it_is_done_and_the_last_one_ends_the_page(
    keeper: Visitor, sqlite_database: Database
) -> None:
    do(sqlite_database, SETTING_UP["block"])
    assert marks(keeper) == ["done", "next", "to do", "to do", "to do", "if you use one"]
    do(sqlite_database, SETTING_UP["prices"])
    assert marks(keeper) == ["done", "next", "done", "done", "to do", "if you use one"]
    assert "Setting up the shed: 3 of 5 done" in words(parsed(keeper.get("/")))
    do(sqlite_database, SETTING_UP["tare"])  # by somebody else, who is in the books from then on
    page = parsed(keeper.get("/"))
    assert words(page, "h1") == "The shed is set up"
    assert [str(link["href"]) for link in page.select("main .button.act")] == ["/dockets/new"]
    assert keeper.get("/dockets/new").status_code == 200
    assert marks(keeper) == [*["done"] * 5, "if you use one"]
    do(sqlite_database, SETTING_UP["tablet"])
    assert marks(keeper) == ["done"] * 6
    do(sqlite_database, SETTING_UP["docket"])
    assert keeper.get("/").headers["location"] == "/consignments"


def test_people_without_a_tablet_are_no_tablet_and_a_market_without_prices_says_so(
    keeper: Visitor, sqlite_database: Database
) -> None:
    do(sqlite_database, SETTING_UP["market"])
    do(sqlite_database, SETTING_UP["people"])
    assert marks(keeper) == ["next", "to do", "done", "to do", "done", "if you use one"]
    assert "The market is there, its prices are missing" in words(parsed(keeper.get("/")))
    do(sqlite_database, prices)
    assert "missing" not in words(parsed(keeper.get("/")))


def test_nobody_else_is_shown_it(sqlite_database: Database) -> None:
    for role in (Role.SUPERVISOR, Role.GRADER, Role.MARKETER):
        assert visitor(sqlite_database, role).get("/").headers["location"] == "/consignments"


@pytest.mark.parametrize("what", SETTING_UP)
def test_each_beginning_is_seen_by_itself(database: Database, what: str) -> None:
    with database.writing() as session:
        season.shed_person(session, "Manager", Role.MANAGER)
        assert beginnings(session) == Beginnings(*[False] * 8)
        SETTING_UP[what](session)
        session.flush()
        assert not beginnings(session).tablet or what == "tablet"
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
