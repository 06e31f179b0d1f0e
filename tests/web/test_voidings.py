"""A voided consignment stays to be seen, struck, with who, when and why; it counts nowhere and takes nothing more."""

from datetime import date

import pytest
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.storage import tables
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.intake import Dock, stored_dock
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

REASON = {"reason": "saved twice"}


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


@pytest.fixture
def supervisor(sqlite_database: Database, ids: Dock) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


@pytest.fixture
def key(sqlite_database: Database, ids: Dock) -> int:
    """A consignment of two bins, two fruit looked at in each."""
    with sqlite_database.writing() as session:
        key = season.consignment(session, ids.block, ids.market)
        sample = season.sample(session, key)
        for bin_id in season.bins_of(session, key):
            draw = season.draw(session, sample, bin_id)
            for _ in range(2):
                season.fruit(session, draw, 4120)
        session.commit()
    return key


def stored(database: Database, key: int) -> tables.Consignment:
    with database.reading() as session:
        return session.get_one(tables.Consignment, key)


def rows(database: Database, table: type[tables.Sample] | type[tables.FruitRow]) -> int:
    with database.reading() as session:
        return len(session.exec(select(table)).all())


def quoted(database: Database, key: int, ids: Dock, *, trays: int = 114) -> int:
    """A quote that stands for ever and holds trays of the consignment."""
    with database.writing() as session:
        tray = season.tray_type(session)
        version = session.get_one(tables.Market, ids.market).spec_version_id
        quote = tables.Quote(
            number=7,
            market_id=ids.market,
            spec_version_id=version,
            currency="AUD",
            buyer="Harbour Fruit",
            basis="Delivered",
            valid_until=date(9999, 1, 1),
            made_at=season.RECEIVED,
            made_by_id=ids.person,
        )
        session.add(quote)
        session.flush()
        line = tables.QuoteLine(
            quote_id=quote.id or 0,
            line=1,
            tray_type_id=tray,
            class_id="I",
            count=16,
            trays=trays,
            price_minor=2150,
            price_known_as="list",
            expected_trays=275,
            promised_trays=trays,
        )
        session.add(line)
        session.flush()
        session.add(tables.QuoteHold(quote_line_id=line.id or 0, consignment_id=key, trays=trays))
        session.commit()
        return quote.id or 0


def test_voiding_keeps_who_when_and_why(supervisor: Visitor, key: int, sqlite_database: Database) -> None:
    page = parsed(supervisor.get(f"/consignments/{key}"))
    assert one(page, f'form[action="/consignments/{key}/voiding"]')
    answer = supervisor.post(f"/consignments/{key}/voiding", {"reason": " saved  twice "})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/consignments/{key}")
    row = stored(sqlite_database, key)
    assert row.voided_at is not None
    assert (row.void_reason, row.version) == ("saved twice", 2)
    page = parsed(supervisor.get(f"/consignments/{key}"))
    assert one(page, "h1").get_text() == "Voided: saved twice"
    assert "Voided by line supervisor" in words(page)
    assert "800" in words(page, "#net")
    assert "Void this consignment" not in words(page)
    assert "Start a sample" not in words(page)
    receipt = words(parsed(supervisor.get(f"/consignments/{key}/receipt")))
    assert "Void: saved twice" in receipt
    assert "Nothing below counts." in receipt


def test_it_is_struck_in_lists_and_left_out_of_totals(
    supervisor: Visitor, key: int, ids: Dock, sqlite_database: Database
) -> None:
    assert "1 consignment, 0.8" in words(parsed(supervisor.get("/consignments?until=2026-01-14")), "h1")
    supervisor.post(f"/consignments/{key}/voiding", REASON)
    page = parsed(supervisor.get("/consignments?until=2026-01-14"))
    assert "Nothing that counts was received" in words(page, "h1")
    assert page.select("tr.voided s")[0].get_text() == "1042-1"
    docket = parsed(supervisor.get(f"/dockets/{stored(sqlite_database, key).docket_id}"))
    assert one(docket, "h1").get_text() == "Nothing on docket 1042 counts any more"
    assert "Voided by line supervisor" in one(docket, "li.voided").get_text()


def test_no_pack_out_no_block_page_no_quote(
    supervisor: Visitor, key: int, ids: Dock, sqlite_database: Database
) -> None:
    marketer = visitor(sqlite_database, Role.MARKETER)
    with sqlite_database.writing() as session:
        tray = season.tray_type(session, 7000)
        session.add(tables.MarketTray(market_id=ids.market, tray_type_id=tray, place=1))
        session.commit()
    assert "1042-1" in marketer.get(f"/quotes/new?market={ids.market}&every=yes").text
    supervisor.post(f"/consignments/{key}/voiding", REASON)
    assert "No pack-out: 1042-1 is void" in words(parsed(marketer.get(f"/consignments/{key}/packout")))
    block = parsed(supervisor.get(f"/blocks/{ids.block}"))
    assert "Nothing of Ridge 3 has come in yet" in words(block, "h1")
    assert "Voided by line supervisor" in one(block, "li.voided").get_text()
    assert "1042-1" not in marketer.get(f"/quotes/new?market={ids.market}&every=yes").text
    asked = f"/quotes/new?market={ids.market}&consignment={key}&tray={tray}"
    assert "1042-1 was voided and counts no longer" in words(parsed(marketer.get(asked)))


def test_it_takes_nothing_more(supervisor: Visitor, key: int, ids: Dock, sqlite_database: Database) -> None:
    supervisor.post(f"/consignments/{key}/voiding", REASON)
    with sqlite_database.reading() as session:
        sample = session.exec(select(tables.Sample.id)).one()
    before = rows(sqlite_database, tables.Sample), rows(sqlite_database, tables.FruitRow)
    for address, typed in (
        (f"/consignments/{key}/samples", {"question": "intake"}),
        (f"/consignments/{key}/sample-file", {"question": "intake"}),
        (f"/consignments/{key}/empties", {"type": str(ids.bin_type), "empties": "1", "total": "42"}),
        (f"/samples/{sample}/fruit", {"weight": "412", "entry_key": "late"}),
        (f"/samples/{sample}/draws", {}),
    ):
        answer = supervisor.post(address, typed)
        assert answer.status_code == 409, address
        assert "Consignment 1042-1 was voided and counts no longer" in words(parsed(answer)), address
    assert (rows(sqlite_database, tables.Sample), rows(sqlite_database, tables.FruitRow)) == before
    assert supervisor.get(f"/consignments/{key}/sample-file").status_code == 409


def test_a_standing_quote_holds_it(supervisor: Visitor, key: int, ids: Dock, sqlite_database: Database) -> None:
    quote = quoted(sqlite_database, key, ids)
    answer = supervisor.post(f"/consignments/{key}/voiding", REASON)
    page = parsed(answer)
    assert answer.status_code == 409
    assert "Quote 7 to Harbour Fruit stands and holds trays of this consignment." in error_at(page, "reason")
    assert typed_in(page, "reason") == "saved twice"
    assert stored(sqlite_database, key).voided_at is None
    visitor(sqlite_database, Role.MARKETER).post(f"/quotes/{quote}/withdrawal", {"reason": "sold on", "version": "1"})
    assert supervisor.post(f"/consignments/{key}/voiding", REASON).status_code == 303


def test_a_reason_is_needed(supervisor: Visitor, key: int, sqlite_database: Database) -> None:
    answer = supervisor.post(f"/consignments/{key}/voiding", {"reason": " "})
    assert (answer.status_code, error_at(parsed(answer), "reason")) == (422, "Fill this in.")
    assert stored(sqlite_database, key).voided_at is None


def test_the_first_voiding_stays(supervisor: Visitor, key: int, sqlite_database: Database) -> None:
    supervisor.post(f"/consignments/{key}/voiding", REASON)
    first = stored(sqlite_database, key)
    assert supervisor.post(f"/consignments/{key}/voiding", REASON).status_code == 303
    answer = supervisor.post(f"/consignments/{key}/voiding", {"reason": "wrong block"})
    assert answer.status_code == 409
    assert "It was voided before" in words(parsed(answer))
    assert stored(sqlite_database, key) == first


def test_who_may_not(key: int, ids: Dock, sqlite_database: Database) -> None:
    for role in (Role.GRADER, Role.MARKETER):
        assert visitor(sqlite_database, role).post(f"/consignments/{key}/voiding", REASON).status_code == 403
    grower = visitor(sqlite_database, Role.GROWER, grower_id=ids.grower)
    assert grower.post(f"/consignments/{key}/voiding", REASON).status_code == 403
    assert "Void this consignment" not in grower.get(f"/consignments/{key}").text
    manager = visitor(sqlite_database, Role.MANAGER)
    assert manager.post("/consignments/9999/voiding", REASON).status_code == 404
    foreign = manager.post(f"/consignments/{key}/voiding", REASON, headers={"origin": "http://elsewhere"})
    assert foreign.status_code == 403
    assert stored(sqlite_database, key).voided_at is None
    assert manager.post(f"/consignments/{key}/voiding", REASON).status_code == 303
