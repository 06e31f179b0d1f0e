"""What came in, by the day and one by one."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import DocketFacts, TareFacts, WeighingFacts
from shedgrade.actions.specs import publish
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage import intake
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Consignment
from tests.support import season
from tests.support.intake import Dock, facts, stored_dock
from tests.support.season import RECEIVED
from tests.support.visitor import Visitor, one, parsed, visitor, words


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


@pytest.fixture
def supervisor(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


def received(database: Database, ids: Dock, *moments: datetime, block: int | None = None) -> list[int]:
    """A consignment of two bins, 800 kg net, for each moment."""
    with database.writing() as session:
        keys = [
            season.consignment(
                session, block or ids.block, ids.market, number=f"D{moment:%m%d%H%M}{block or ''}", received_at=moment
            )
            for moment in moments
        ]
        session.commit()
    return keys


def corrected(database: Database, ids: Dock) -> int:
    """Two bins of which one is a part bin; the wet empties take 6 kg off."""
    with database.writing() as session:
        docket = actions.add_docket(session, DocketFacts("1042", "Old red", RECEIVED))
        two = WeighingFacts(2, ids.bin_type, ids.tare, 880_000, labels=("A1",), part=True)
        key = actions.add_consignment(session, docket.id or 0, facts(ids, two), ids.person).id or 0
        whole = intake.consignment_for(session, ids.supervisor, key)
        wet = TareFacts(RECEIVED.date(), 2, 86_000, wet=True)
        actions.weigh_empties(session, whole, ids.bin_type, wet, RECEIVED, ids.person)
        session.commit()
    return key


def test_an_empty_book_teaches_and_offers_the_first_step(supervisor: Visitor) -> None:
    page = parsed(supervisor.get("/consignments"))
    assert words(page, "h1") == "Nothing received yet"
    assert one(page, "main a.act")["href"] == "/dockets/new"


def test_the_list_says_the_week_first(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    now = datetime.now(UTC)
    received(sqlite_database, ids, now, now - timedelta(seconds=90), now - timedelta(days=8))
    page = parsed(supervisor.get("/consignments"))
    monday = now.date() - timedelta(days=now.weekday())
    if (now - timedelta(seconds=90)).date() >= monday:  # else the test began within minutes of a Monday's midnight
        assert words(page, "h1") == "2 consignments, 1.6 t received this week"
    assert len(page.select("tbody tr:not(.day)")) == 3
    assert one(page, "main a.act")["href"] == "/dockets/new"


def test_a_week_without_fruit_is_said(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    received(sqlite_database, ids, datetime.now(UTC) - timedelta(days=40))
    assert words(parsed(supervisor.get("/consignments")), "h1") == "Nothing received this week yet"


def test_the_list_goes_by_the_day_newest_first(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    first, second, third = received(
        sqlite_database, ids, RECEIVED, RECEIVED + timedelta(days=1), RECEIVED + timedelta(days=1, hours=2)
    )
    page = parsed(supervisor.get("/consignments"))
    assert [words(page, f"tbody:nth-of-type({place}) .day") for place in (1, 2)] == [
        "Thu 15 Jan 2026",
        "Wed 14 Jan 2026",
    ]
    links = [link["href"] for link in page.select("tbody a")]
    assert links == [f"/consignments/{key}" for key in (third, second, first)]


def test_days_are_the_sheds_own(ids: Dock, sqlite_database: Database) -> None:
    received(sqlite_database, ids, RECEIVED.replace(hour=20))
    brisbane = visitor(sqlite_database, Role.SUPERVISOR, zone=timezone(timedelta(hours=10)))
    assert words(parsed(brisbane.get("/consignments")), ".day") == "Thu 15 Jan 2026"


def test_a_row_says_net_now_and_how_many_fruit_were_looked_at(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    key = corrected(sqlite_database, ids)
    assert words(parsed(supervisor.get("/consignments")), "tbody tr:not(.day)") == (
        "1042-1 Tallow Creek, Ridge 3 794 kg none yet Kestrow Markets"
    )
    with sqlite_database.writing() as session:
        draw = season.draw(session, season.sample(session, key))
        season.fruit(session, draw, 4000)
        season.void(session, season.fruit(session, draw, 4100))
        session.commit()
    page = parsed(supervisor.get("/consignments"))
    assert words(page, "tbody tr:not(.day)") == "1042-1 Tallow Creek, Ridge 3 794 kg 1 Kestrow Markets"
    assert "Net now weighed Fruit in samples counted" in words(page, "thead")


def test_two_weeks_are_shown_and_earlier_ones_are_a_step_away(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    keys = received(sqlite_database, ids, *(RECEIVED - timedelta(days=days) for days in (0, 13, 14, 30)))
    page = parsed(supervisor.get("/consignments"))
    assert [link["href"] for link in page.select("tbody a")] == [f"/consignments/{key}" for key in keys[:2]]
    step = one(page, 'a[href^="/consignments?until="]')["href"]
    page = parsed(supervisor.get(str(step)))
    assert [link["href"] for link in page.select("tbody a")] == [f"/consignments/{keys[2]}"]
    assert words(page, "h1") == "1 consignment, 0.8 t received from Wed 31 Dec 2025 to Wed 31 Dec 2025"
    page = parsed(supervisor.get(str(one(page, 'a[href^="/consignments?until="]')["href"])))
    assert [link["href"] for link in page.select("tbody a")] == [f"/consignments/{keys[3]}"]
    assert page.select('a[href^="/consignments?until="]') == []


@pytest.mark.parametrize("until", ["", "yesterday", "9999-12-31", "0001-01-01", "2026-02-30"])
def test_a_day_that_is_none_does_no_harm(supervisor: Visitor, ids: Dock, sqlite_database: Database, until: str) -> None:
    received(sqlite_database, ids, RECEIVED)
    assert supervisor.get(f"/consignments?until={until}").status_code == 200


def test_a_consignment_says_the_answer_then_how_it_came_about(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    key = corrected(sqlite_database, ids)
    page = parsed(supervisor.get(f"/consignments/{key}"))
    assert words(page, "h1") == "794 kg of Calypso from Tallow Creek, Ridge 3, in 2 bins"
    net = words(page, "#net")
    assert "Net as received 800 kg weighed Wet empties weighed −6 kg weighed Net now 794 kg weighed" in net
    assert "Bins 2 counted 1 of them a part bin" in net
    assert "Bins 1–2, bin 2 a part bin A1 Half-ton plastic 880 kg 80 kg 800 kg" in net
    assert "Wet empties weighed: Half-ton plastic, 2 for 86 kg on Wed 14 Jan 2026, taken for 2 bins −6 kg" in net
    assert "Net now 794 kg" in net
    assert "The grower's own count was 1, 1 fewer than the shed's 2." in net
    everything = words(page)
    assert "Picked Wed 14 Jan 2026, 00:20 to Wed 14 Jan 2026, 02:20" in everything
    assert "Pulp temperature 26.4 °C" in everything
    assert "Received Wed 14 Jan 2026, 03:20, by Dock" in everything


def test_before_tipping_the_net_stands_alone_and_the_empties_are_offered(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    [key] = received(sqlite_database, ids, RECEIVED)
    page = parsed(supervisor.get(f"/consignments/{key}"))
    assert "Net as received" not in words(page)
    for leads_to in ("receipt", "empties", "packout"):
        assert one(page, f'a[href="/consignments/{key}/{leads_to}"]')
    after = corrected(sqlite_database, ids)
    assert parsed(supervisor.get(f"/consignments/{after}")).select('a[href$="/empties"]') == []


def test_the_samples_are_on_the_page(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    [key] = received(sqlite_database, ids, RECEIVED)
    with sqlite_database.writing() as session:
        sample = season.sample(session, key)
        session.commit()
    assert one(parsed(supervisor.get(f"/consignments/{key}")), f'#samples a[href="/samples/{sample}"]')


def test_growers_open_their_own_consignment_and_nobody_elses(ids: Dock, sqlite_database: Database) -> None:
    [mine] = received(sqlite_database, ids, RECEIVED)
    with sqlite_database.writing() as session:
        other = season.block(session, season.grower(session, "Second"), "Far paddock")
        session.commit()
    [theirs] = received(sqlite_database, ids, RECEIVED, block=other)
    grower = visitor(sqlite_database, Role.GROWER, grower_id=ids.grower)
    page = parsed(grower.get(f"/consignments/{mine}"))
    assert "Ridge 3" in words(page, "h1")
    assert page.select('a[href$="/empties"]') == []
    assert grower.get(f"/consignments/{theirs}").status_code == 404
    assert grower.get("/consignments").status_code == 403


def test_growers_find_the_specs_of_their_own_loads_first(ids: Dock, sqlite_database: Database) -> None:
    [mine] = received(sqlite_database, ids, RECEIVED)
    with sqlite_database.writing() as session:
        used = session.get_one(Consignment, mine).spec_version_id
        publish(session, library.standards()["avocado-codex-cxs197"], datetime(2026, 1, 14, tzinfo=UTC))
        other = season.grower(session, "Second")
        session.commit()
    page = parsed(visitor(sqlite_database, Role.GROWER, grower_id=ids.grower).get("/specs"))
    first, *others = page.select("main section")
    assert first.get_text().strip().startswith("Your loads")
    assert [str(each["href"]) for each in first.select("li a")] == [f"/specs/{used}"]
    assert others
    assert "Your loads" not in words(parsed(visitor(sqlite_database, Role.GROWER, grower_id=other).get("/specs")))
    assert "Your loads" not in words(parsed(visitor(sqlite_database, Role.MANAGER).get("/specs")))


@pytest.mark.parametrize("key", ["4711", "0", "99999999999", "x"])
def test_an_unknown_consignment_is_not_here(supervisor: Visitor, key: str) -> None:
    assert supervisor.get(f"/consignments/{key}").status_code == 404


@pytest.mark.parametrize("role", [Role.GRADER, Role.MARKETER])
def test_who_does_not_receive_reads_and_is_not_offered_to(ids: Dock, sqlite_database: Database, role: Role) -> None:
    [key] = received(sqlite_database, ids, RECEIVED)
    someone = visitor(sqlite_database, role)
    assert parsed(someone.get("/consignments")).select('a[href="/dockets/new"]') == []
    assert parsed(someone.get(f"/consignments/{key}")).select('a[href$="/empties"]') == []
