"""History pages: what was done through the app's own pages, told to who may see the record."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import update
from sqlmodel import col, select

from shedgrade.actions.people import add_person
from shedgrade.actions.sign_ins import register_tablet, sign_in
from shedgrade.domain.people import Role
from shedgrade.domain.settings import KEEPING_YEARS, years_after
from shedgrade.storage import histories, tables
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, NobodyActsError, act_as
from shedgrade.storage.nouns import NOUNS
from shedgrade.web.pages import say_day
from shedgrade.web.state import WriteSession
from shedgrade.web.whoami import COOKIE
from tests.support import season
from tests.support.bench import Bench
from tests.support.forms import filled
from tests.support.good_rows import put_all
from tests.support.intake import stored_dock, truck_form
from tests.support.stock import stock
from tests.support.visitor import Visitor, parsed, visitor, words

OF_A_GROWER = ("/growers/{grower}/history", "/blocks/{block}/history", "/consignments/{consignment}/history")
OF_THE_SHED = (
    "/growers/7/history",
    "/blocks/7/history",
    "/consignments/7/history",
    "/samples/7/history",
    "/markets/7/history",
    "/quotes/7/history",
    "/people/77/history",
)


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


@pytest.fixture
def on_tablet(sqlite_database: Database) -> Visitor:
    """A line supervisor at a tablet of the shed."""
    with sqlite_database.writing() as session:
        person_id = add_person(session, "Line supervisor", frozenset({Role.SUPERVISOR}))
        tablet = register_tablet(session, "Bench tablet 1", person_id, datetime.now(UTC))
        opened = sign_in(session, person_id, "a browser", datetime.now(UTC), tablet.id)
        session.commit()
    found = Visitor(sqlite_database, None)
    found.client.cookies.set(COOKIE, opened.token)
    return found


def sentences(visitor: Visitor, address: str) -> list[str]:
    """What was done, the newest first, without the thin spaces."""
    page = parsed(visitor.get(address))
    return [
        " ".join(each.get_text().split()).replace("\N{NARROW NO-BREAK SPACE}", " ")
        for each in page.select(".history li span:last-child")
    ]


def test_a_grower_and_a_block_from_first_to_last(keeper: Visitor) -> None:
    keeper.post("/growers", {"name": "Tallow Creek", "contact": ""})
    keeper.post("/growers/1", {"name": "Tallow Creek", "contact": "gate 2", "version": "1"})
    typed = {"name": "Ridge 3", "crop": "mango", "variety": "Keitt", "area": "2"}
    keeper.post("/blocks", {"grower": "1", **typed})
    keeper.post("/blocks/1", {**typed, "name": "Ridge 4", "version": "1"})
    where = "in a test's browser"
    assert sentences(keeper, "/growers/1/history") == [
        f"Shed manager set the contact to gate 2, {where}.",
        f"Shed manager took Tallow Creek into the books, {where}.",
    ]
    assert sentences(keeper, "/blocks/1/history") == [
        f"Shed manager changed the name from Ridge 3 to Ridge 4, {where}.",
        f"Shed manager added the block Ridge 3 of Tallow Creek, {where}: Mango, Keitt, 2 ha.",
    ]
    page = words(parsed(keeper.get("/blocks/1/history")))
    assert "Last changed by shed manager, " in page
    assert "History of block Ridge 4" in page


def test_a_consignment_received_at_a_tablet(sqlite_database: Database, on_tablet: Visitor) -> None:
    dock = stored_dock(sqlite_database)
    assert on_tablet.post("/dockets", truck_form(dock)).status_code == 303
    address, wet = "/consignments/1/empties", {"type": str(dock.bin_type), "empties": "5", "total": "210"}
    worked_out = parsed(on_tablet.post(address, {**wet, "do": "net"}))
    assert on_tablet.post(address, filled(worked_out, address, do="save")).status_code == 303
    voiding = {"reason": "saved twice"}
    assert on_tablet.post("/consignments/1/voiding", voiding).status_code == 303
    assert sentences(on_tablet, "/consignments/1/history") == [
        "Line supervisor voided the consignment, on Bench tablet 1: saved twice.",
        "Line supervisor weighed the wet empties of Half-ton plastic, on Bench tablet 1: 5, 210 kg.",
        "Line supervisor received it on docket 1042, 5 bins, 2 200 kg gross, on Bench tablet 1.",
        "Line supervisor opened docket 1042, truck Old red, on Bench tablet 1.",
    ]
    assert "saved twice" in words(parsed(on_tablet.get("/consignments/1")))


def test_a_voided_fruit_stays_in_sight(sqlite_database: Database, made: Bench, on_tablet: Visitor) -> None:
    on_tablet.post(f"/samples/{made.sample}/fruit", {"weight": "412", "entry_key": "k1"})
    assert on_tablet.post("/fruit/1/voiding", {"reason": "undone at the bench"}).status_code == 303
    why = ", on Bench tablet 1: undone at the bench."
    assert sentences(on_tablet, f"/samples/{made.sample}/history")[0] == f"Line supervisor voided fruit 1{why}"
    sample = "the sample of bins at intake started Wed 14 Jan 2026, 03:20"
    address = f"/consignments/{made.consignment}/history"
    assert sentences(on_tablet, address)[0] == f"Line supervisor voided fruit 1 of {sample}{why}"
    link = parsed(on_tablet.get(address)).select(".history li a")[0]
    assert (link["href"], link.get_text()) == (f"/samples/{made.sample}", sample)
    assert "Voided by Line supervisor" in words(parsed(on_tablet.get(f"/samples/{made.sample}/fruit")))
    assert "Voided: undone at the bench" in words(parsed(on_tablet.get("/fruit/1")))


def test_measured_fruit_are_told_by_run_and_a_voided_one_by_itself(
    sqlite_database: Database, made: Bench, on_tablet: Visitor
) -> None:
    address = f"/samples/{made.sample}/history"
    before = sentences(on_tablet, address)
    grader = visitor(sqlite_database, Role.GRADER)
    for number in range(1, 5):
        on_tablet.post(f"/samples/{made.sample}/fruit", {"weight": "412", "entry_key": f"k{number}"})
    on_tablet.post("/fruit/2/voiding", {"reason": "dropped"})
    grader.post(f"/samples/{made.sample}/fruit", {"weight": "412", "entry_key": "k5"})
    on_tablet.post(f"/samples/{made.sample}/fruit", {"weight": "412", "entry_key": "k6"})
    assert sentences(on_tablet, address) == [
        "Line supervisor measured 5 of the fruit 1 to 6.",
        "Grader measured fruit 5.",
        "Line supervisor voided fruit 2, on Bench tablet 1: dropped.",
        *before,
    ]
    of_load = sentences(on_tablet, f"/consignments/{made.consignment}/history")
    assert of_load[1] == "Grader measured fruit 5 of the sample of bins at intake started Wed 14 Jan 2026, 03:20."
    older = parsed(on_tablet.get(f"{address}?skip=2")).select(".history li")
    assert "voided fruit 2" in older[0].get_text()


def test_each_day_of_measuring_is_a_run(sqlite_database: Database, made: Bench, on_tablet: Visitor) -> None:
    for number in range(1, 5):
        on_tablet.post(f"/samples/{made.sample}/fruit", {"weight": "412", "entry_key": f"k{number}"})
    with sqlite_database.writing() as session:
        yesterday = datetime.now(UTC) - timedelta(days=1)
        first = update(tables.FruitRow).where(col(tables.FruitRow.number) < 3)
        session.connection().execute(first.values(measured_at=yesterday))
        session.commit()
    told = sentences(on_tablet, f"/samples/{made.sample}/history")
    assert (told[0], told[-1]) == ("Line supervisor measured fruit 3 to 4.", "Line supervisor measured fruit 1 to 2.")


def test_a_long_break_parts_a_run_and_each_says_from_when_to_when(
    sqlite_database: Database, made: Bench, on_tablet: Visitor
) -> None:
    with sqlite_database.writing() as session:
        draw = season.draw(session, made.sample)
        for minute in (0, 8, 38, 69, 400):  # 30 minutes lie between 8 and 38, 31 between 38 and 69
            fruit = session.get_one(tables.FruitRow, season.fruit(session, draw, 4120))
            fruit.measured_at = datetime(2026, 1, 14, 8, tzinfo=UTC) + timedelta(minutes=minute)
            session.add(fruit)
        session.commit()
    who, sample = "Bench two measured fruit", "the sample of bins at intake started Wed 14 Jan 2026, 03:20"
    told = sentences(on_tablet, f"/samples/{made.sample}/history")
    assert told[1:4] == [f"{who} 5.", f"{who} 4.", f"{who} 1 to 3, from 08:00 to 08:38."]
    of_load = sentences(on_tablet, f"/consignments/{made.consignment}/history")
    assert f"{who} 1 to 3, from 08:00 to 08:38, of {sample}." in of_load
    times = [
        each.get_text() for each in parsed(on_tablet.get(f"/samples/{made.sample}/history")).select(".history-time")
    ]
    assert times[1:4] == ["14:40", "09:09", "08:38"]


def test_a_file_of_fruit(made: Bench, on_tablet: Visitor) -> None:
    content = b"weight g,bin\n412,1\n385.5,1\n440,2\n"
    answer = on_tablet.post(
        f"/consignments/{made.consignment}/sample-file",
        {"question": "intake", "tray": str(made.tray)},
        files={"file": ("fruit.csv", content, "text/csv")},
    )
    assert answer.status_code == 303
    told = sentences(on_tablet, f"{answer.headers['location']}/history")
    assert told == ["Line supervisor read a sample of bins at intake from a file, 3 fruit, on Bench tablet 1."]


def test_a_market_its_trays_and_its_prices(sqlite_database: Database, keeper: Visitor) -> None:
    with sqlite_database.writing() as session:
        small, large = season.tray_type(session, 5000), season.tray_type(session, 7000)
        version = season.spec_version(session)
        session.commit()
    typed = {"name": "City", "currency": "AUD", "spec_version": str(version), "tray-1": str(small)}
    keeper.post("/markets", typed)
    keeper.post("/markets/1", {**typed, "tray-1": str(large), "tray-2": str(small), "version": "1"})
    today = datetime.now(UTC).date()
    prices = {
        "valid_from": f"{today}",
        "version": "1",
        f"tray-{large}-Extra-16": "21.50",
        f"tray-{large}-Extra-18": "20",
    }
    assert keeper.post("/markets/1/prices", prices).status_code == 303
    tomorrow = {
        **prices,
        "valid_from": f"{today.replace(year=today.year + 1):%Y}-01-01",
        f"tray-{large}-Extra-16": "22",
    }
    tomorrow |= {f"tray-{large}-Extra-18": "", "version": "2"}
    assert keeper.post("/markets/1/prices", tomorrow).status_code == 303
    told = [each.replace(", in a test's browser", "") for each in sentences(keeper, "/markets/1/history")]
    assert told[0].endswith(
        "Extra Class 16s in 7 kg tray from 21.50 to 22.00 AUD; "
        "Extra Class 18s in 7 kg tray no price any more, 20.00 AUD before."
    )
    assert told[1:] == [
        f"Shed manager set 2 prices from {say_day(today)}.",
        "Shed manager changed the tray types from 5 kg tray to 7 kg tray, 5 kg tray.",
        "Shed manager added the market City: pays AUD under Mango, Codex CXS 184, version 1, takes 5 kg tray.",
    ]


def test_a_quote_made_and_withdrawn(sqlite_database: Database, keeper: Visitor) -> None:
    with sqlite_database.writing() as session:
        stored = stock(session)
        session.commit()
    until = datetime.now(UTC).date()
    offer = {
        "market": str(stored.market),
        "tray": str(stored.tray),
        "consignment": [str(each) for each in stored.consignments],
        "trays-Extra-16": "10",
        "price-Extra-16": "24",
        "sure-Extra-16": "126",
        "buyer": "Harbour Fruit",
        "basis": "Ex-shed",
        "valid_until": f"{until}",
    }
    keeper.post("/quotes", offer)
    keeper.post("/quotes/1/withdrawal", {"reason": "the buyer cancelled", "version": "1"})
    assert sentences(keeper, "/quotes/1/history") == [
        "Shed manager withdrew it, in a test's browser: the buyer cancelled.",
        f"Shed manager made quote 1 to Harbour Fruit, in a test's browser: 10 trays, valid until {say_day(until)}.",
    ]


def test_a_person_and_no_secret(sqlite_database: Database, keeper: Visitor) -> None:
    password = "three wet mangoes"  # noqa: S105 - made up, and looked for where it must not be
    keeper.post("/people", {"name": "Sela", "roles": ["grader", "supervisor"], "password": password, "pin": "402817"})
    person_id = next(key for key, name in people(sqlite_database).items() if name == "Sela")
    answer = keeper.get(f"/people/{person_id}/history")
    assert sentences(keeper, f"/people/{person_id}/history") == [
        "Shed manager gave Sela a password and gave Sela a PIN, in a test's browser.",
        "Shed manager gave Sela the roles line supervisor and grader, in a test's browser.",
        "Shed manager took Sela into the books, in a test's browser.",
    ]
    with sqlite_database.reading() as session:
        hashes = [row.password_hash for row in session.exec(select(tables.PersonRow)) if row.password_hash]
        written = str([*session.exec(select(tables.Change.before, tables.Change.after))])
    assert hashes
    for each in (password, "402817", *hashes):
        assert each not in answer.text
        assert each not in written


def people(database: Database) -> dict[int, str]:
    with database.reading() as session:
        return {row.id or 0: row.name for row in session.exec(select(tables.PersonRow))}


def test_the_shed_tells_its_rules_bins_trays_and_specs_each_in_its_place(
    keeper: Visitor, sqlite_database: Database
) -> None:
    today = datetime.now(UTC).date()
    rule = {"value": "7", "valid_from": f"{today}", "source": "a buyer asks", "version": "1"}
    assert keeper.post("/settings/keeping-years", rule).status_code == 303
    keeper.post("/bins", {"name": "Half bin"})
    keeper.post("/bins/1/tares", {"weighed-on": f"{today}", "state": "dry", "empties": "5", "total": "200"})
    tray = {"name": "7 kg", "crop": "mango", "net": "7", "counts": "12 14", "valid_from": f"{today}"}
    assert keeper.post("/trays", tray).status_code == 303
    with sqlite_database.writing() as session:
        season.spec_version(session)
        session.commit()
    told = {
        place: [each.replace(", in a test's browser", "") for each in sentences(keeper, f"/{place}/history")]
        for place in ("settings", "bins", "trays", "specs")
    }
    assert told == {
        "settings": [
            (
                f"Shed manager set a rule from {say_day(today)}: trading records are kept 7 years instead of 6 years. "
                "Where that comes from: a buyer asks."
            )
        ],
        "bins": [
            f"Shed manager weighed 5 dry empties of Half bin: 200 kg on {say_day(today)}.",
            "Shed manager added the bin type Half bin.",
        ],
        "trays": [f"Shed manager put 7 kg on the list of trays from {say_day(today)}: 7 kg net, counts 12, 14."],
        "specs": ["Shedgrade itself published Mango, Codex CXS 184, version 1."],
    }
    for place in told:
        assert parsed(keeper.get(f"/{place}")).select(f'main a[href="/{place}/history"]'), place


def test_who_keeps_a_list_reads_its_history(sqlite_database: Database) -> None:
    people = {role: visitor(sqlite_database, role) for role in (Role.SUPERVISOR, Role.MARKETER, Role.GROWER)}
    answers = {
        role: [person.get(f"/{place}/history").status_code for place in ("bins", "trays", "specs")]
        for role, person in people.items()
    }
    assert answers == {Role.SUPERVISOR: [200, 403, 200], Role.MARKETER: [200, 200, 200], Role.GROWER: [403, 403, 200]}


def test_every_noun_of_the_history_is_told_on_some_page() -> None:
    of_fruit = {"grower", "block", "consignment", "docket", "wet empties", "maturity test", "sample", "fruit"}
    by_page = of_fruit | {"run", "shared bin", "quick look", "photo", "market", "price list"}
    of_lists = {*histories.OF_THE_SHED, *histories.OF_BINS, *histories.OF_TRAYS, *histories.OF_SPECS}
    assert by_page | {"quote", "person"} | of_lists == set(NOUNS.values())


@pytest.fixture
def two_growers(sqlite_database: Database) -> dict[str, int]:
    """Two growers with a block and a consignment each; the second's are other_*."""
    with sqlite_database.writing() as session:
        act_as(session, Actor(season.shed_person(session, "Dora Dock"), "Dock tablet", datetime.now(UTC)))
        market = season.market(session, season.spec_version(session))
        ids = {}
        for prefix, name, number in (("", "Tallow Creek", "1042"), ("other_", "Windhollow", "1043")):
            ids[f"{prefix}grower"] = season.grower(session, name)
            ids[f"{prefix}block"] = season.block(session, ids[f"{prefix}grower"])
            ids[f"{prefix}consignment"] = season.consignment(session, ids[f"{prefix}block"], market, number=number)
            ids[f"{prefix}sample"] = season.sample(session, ids[f"{prefix}consignment"])
        session.commit()
    return ids


@pytest.mark.parametrize("address", [*OF_A_GROWER, "/samples/{sample}/history"])
def test_a_grower_reads_of_their_own_and_hears_of_the_shed_only(
    sqlite_database: Database, two_growers: dict[str, int], address: str
) -> None:
    grower = visitor(sqlite_database, Role.GROWER, grower_id=two_growers["grower"])
    other = {name: two_growers[f"other_{name}"] for name in ("grower", "block", "consignment", "sample")}
    own = grower.get(address.format(**two_growers))
    assert own.status_code == 200
    assert "The shed " in words(parsed(own))
    assert "Dora" not in own.text
    assert "Dock tablet" not in own.text
    assert grower.get(address.format(**other)).status_code == 404
    shed = visitor(sqlite_database, Role.GRADER)
    assert "Dora Dock " in words(parsed(shed.get(address.format(**two_growers))))


@pytest.mark.parametrize("address", OF_THE_SHED)
def test_the_history_of_nothing_is_not_here(keeper: Visitor, address: str) -> None:
    assert keeper.get(address).status_code == 404


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.GRADER, Role.GROWER])
@pytest.mark.parametrize(
    "address", ["/markets/1/history", "/quotes/1/history", "/people/1/history", "/settings/history"]
)
def test_the_rest_is_for_who_keeps_it(sqlite_database: Database, role: Role, address: str) -> None:
    assert visitor(sqlite_database, role).get(address).status_code == 403


def test_a_record_from_before_the_history_says_so(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        put_all(session)
        session.commit()
    keeper = visitor(sqlite_database, Role.MANAGER)
    page = words(parsed(keeper.get("/markets/1/history")))
    assert "Nothing is written down here yet" in page
    assert "kept until" not in page


def test_says_until_when_it_is_kept_by_the_rule_in_force(keeper: Visitor) -> None:
    today = datetime.now(UTC).date()
    keeper.post("/growers", {"name": "Tallow Creek", "contact": ""})
    assert say_day(years_after(today, KEEPING_YEARS.default)) in words(parsed(keeper.get("/growers/1/history")))
    rule = {"value": "9", "valid_from": f"{today}", "source": "a buyer asks", "version": "1"}
    keeper.post("/settings/keeping-years", rule)
    page = words(parsed(keeper.get("/growers/1/history")))
    assert f"The newest line, at the top, is kept until {say_day(years_after(today, 9))} at least." in page


def test_a_long_history_comes_in_parts(sqlite_database: Database, keeper: Visitor) -> None:
    with sqlite_database.writing() as session:
        row = session.get_one(tables.Grower, season.grower(session))
        for number in range(149):
            row.contact = f"gate {number}"
            session.add(row)
            session.flush()
        session.commit()
    first = parsed(keeper.get("/growers/1/history"))
    assert len(first.select(".history li")) == 100
    earlier = next(str(link["href"]) for link in first.select("main a") if "Earlier changes" in link.get_text())
    second = parsed(keeper.get(earlier))
    assert len(second.select(".history li")) == 50
    assert "took Tallow Creek into the books" in second.select(".history li")[-1].get_text()
    assert "Earlier changes" not in words(second)
    assert "There is nothing before this" in words(parsed(keeper.get("/growers/1/history?skip=150")))


@pytest.mark.parametrize("skip", ["-1", "x", "9" * 30])
def test_a_part_that_cannot_be_is_not_here(keeper: Visitor, skip: str) -> None:
    keeper.post("/growers", {"name": "Tallow Creek", "contact": ""})
    assert keeper.get(f"/growers/1/history?skip={skip}").status_code == 404


@pytest.mark.parametrize(
    "page",
    ["growers/1", "blocks/1", "consignments/1", "samples/1", "samples/1/fruit", "markets/1", "quotes/1", "people/1"],
)
def test_each_page_leads_to_its_history(sqlite_database: Database, keeper: Visitor, page: str) -> None:
    with sqlite_database.writing() as session:
        stored = stock(session)
        session.add(
            tables.Quote(
                number=1,
                market_id=stored.market,
                spec_version_id=1,
                currency="AUD",
                buyer="Harbour Fruit",
                basis="Ex-shed",
                valid_until=datetime.now(UTC).date(),
                made_at=datetime.now(UTC),
                made_by_id=1,
            )
        )
        session.flush()
        session.add(tables.QuoteSource(quote_id=1, consignment_id=stored.consignments[0], n_fruit=10, n_draws=2))
        session.commit()
    noun, record = page.split("/")[:2]
    links = {str(link["href"]) for link in parsed(keeper.get(f"/{page}")).select("main a")}
    assert f"/{noun}/{record}/history" in links
    assert keeper.get(f"/{noun}/{record}/history").status_code == 200


def test_a_write_that_nobody_answers_for_fails(sqlite_database: Database) -> None:
    def careless(session: WriteSession) -> None:
        session.add(tables.Grower(name="Nobody's"))
        session.commit()

    stranger = Visitor(sqlite_database, None)
    stranger.client.app.add_api_route("/careless", careless, methods=["POST"])  # type: ignore[attr-defined]
    with pytest.raises(NobodyActsError):
        stranger.post("/careless")
    with sqlite_database.reading() as session:
        assert session.exec(select(tables.Grower)).all() == []
