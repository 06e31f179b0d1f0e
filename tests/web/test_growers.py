"""Growers and blocks: the pages, and everything they refuse."""

import pytest
from sqlmodel import select

from shedgrade.actions.growers import BlockFacts, add_block, add_grower
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Block, Grower
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

BLOCK = {"name": "Ridge 3", "crop": "mango", "variety": "Keitt", "area": "1,5"}


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


def a_grower(database: Database, name: str = "Tallow Creek") -> int:
    with database.writing() as session:
        grower_id = add_grower(session, name, "").id or 0
        session.commit()
    return grower_id


def a_block(database: Database, grower_id: int, name: str = "Ridge 3") -> int:
    with database.writing() as session:
        block_id = add_block(session, grower_id, BlockFacts(name, "mango", "Keitt", 15_000)).id or 0
        session.commit()
    return block_id


def growers(database: Database) -> list[Grower]:
    with database.reading() as session:
        return list(session.exec(select(Grower).order_by(Grower.name)))


def blocks(database: Database) -> list[Block]:
    with database.reading() as session:
        return list(session.exec(select(Block)))


def test_empty_book_teaches_and_offers_the_first_step(keeper: Visitor) -> None:
    page = parsed(keeper.get("/growers"))
    assert "Start with the first one" in words(page)
    assert one(page, "main a.act")["href"] == "/growers/new"


def test_adds_a_grower(keeper: Visitor, sqlite_database: Database) -> None:
    answer = keeper.post("/growers", {"name": "  Tallow   Creek ", "contact": "gate 2"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/growers?done=grower")
    assert [(grower.name, grower.contact) for grower in growers(sqlite_database)] == [("Tallow Creek", "gate 2")]
    assert "Tallow Creek" in words(parsed(keeper.get("/growers")))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name": "   ", "contact": "gate 2"}, "Fill this in."),
        ({"name": "x" * 81, "contact": "gate 2"}, "That is 81 letters long; at most 80 fit."),
        ({"name": "Here before", "contact": "gate 2"}, "There is a grower called Here before already."),
    ],
)
def test_refuses_a_grower_by_the_field(
    keeper: Visitor, sqlite_database: Database, typed: dict[str, str], sentence: str
) -> None:
    a_grower(sqlite_database, "Here before")
    answer = keeper.post("/growers", typed)
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, "name")
    assert typed_in(page, "name") == typed["name"]
    assert typed_in(page, "contact") == "gate 2"
    assert one(page, ".errors a")["href"] == "#f-name"
    assert len(growers(sqlite_database)) == 1


def test_the_same_form_twice_stores_once(keeper: Visitor, sqlite_database: Database) -> None:
    typed = {"name": "Tallow Creek", "form_key": "one sheet of paper"}
    assert [keeper.post("/growers", typed).status_code for _ in range(2)] == [303, 303]
    assert len(growers(sqlite_database)) == 1


def test_a_form_key_of_one_person_does_not_answer_another(keeper: Visitor, sqlite_database: Database) -> None:
    keeper.post("/growers", {"name": "Tallow Creek", "form_key": "k"})
    other = visitor(sqlite_database, Role.MANAGER, Role.GRADER)
    answer = other.post("/growers", {"name": "Second", "form_key": "other"})
    assert answer.status_code == 303
    assert len(growers(sqlite_database)) == 2


def test_edits_a_grower_and_counts_the_version(keeper: Visitor, sqlite_database: Database) -> None:
    grower_id = a_grower(sqlite_database)
    assert typed_in(parsed(keeper.get(f"/growers/{grower_id}")), "name") == "Tallow Creek"
    answer = keeper.post(f"/growers/{grower_id}", {"name": "Tallow Creek East", "version": "1"})
    assert answer.status_code == 303
    assert [(grower.name, grower.version) for grower in growers(sqlite_database)] == [("Tallow Creek East", 2)]


@pytest.mark.parametrize("version", ["0", "2", "", "old", "9" * 30])
def test_a_stale_save_shows_both_sides(keeper: Visitor, sqlite_database: Database, version: str) -> None:
    grower_id = a_grower(sqlite_database)
    answer = keeper.post(f"/growers/{grower_id}", {"name": "Mine", "contact": "", "version": version})
    page = parsed(answer)
    assert answer.status_code == 409
    assert "Stored now: Tallow Creek" in words(page)
    assert typed_in(page, "name") == "Mine"
    assert typed_in(page, "version") == "1"
    assert growers(sqlite_database)[0].name == "Tallow Creek"


def test_adds_and_edits_a_block(keeper: Visitor, sqlite_database: Database) -> None:
    grower_id = a_grower(sqlite_database)
    assert keeper.post("/blocks", {"grower": str(grower_id), **BLOCK}).status_code == 303
    block = blocks(sqlite_database)[0]
    assert (block.name, block.crop_id, block.variety, block.area_m2) == ("Ridge 3", "mango", "Keitt", 15_000)
    form = parsed(keeper.get(f"/blocks/{block.id}/edit"))
    assert (typed_in(form, "area"), typed_in(form, "crop")) == ("1.5", "mango")
    keeper.post(f"/blocks/{block.id}", {**BLOCK, "area": "2 ha", "version": "1"})
    assert blocks(sqlite_database)[0].area_m2 == 20_000


@pytest.mark.parametrize(
    ("field", "typed"),
    [("name", ""), ("crop", ""), ("crop", "durian"), ("variety", ""), ("area", ""), ("area", "0"), ("area", "big")],
)
def test_refuses_a_block_by_the_field(keeper: Visitor, sqlite_database: Database, field: str, typed: str) -> None:
    grower_id = a_grower(sqlite_database)
    answer = keeper.post("/blocks", {"grower": str(grower_id), **BLOCK, field: typed})
    page = parsed(answer)
    assert answer.status_code == 422
    assert error_at(page, field)
    kept = next(name for name in ("name", "variety") if name != field)
    assert typed_in(page, kept) == BLOCK[kept]
    assert blocks(sqlite_database) == []


def test_two_growers_may_use_one_block_name_but_one_grower_may_not(keeper: Visitor, sqlite_database: Database) -> None:
    first, second = a_grower(sqlite_database), a_grower(sqlite_database, "Second")
    sent = [keeper.post("/blocks", {"grower": str(each), **BLOCK}) for each in (first, second, first)]
    assert [answer.status_code for answer in sent] == [303, 303, 422]


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("record_id", ["0", "77", "none", "9" * 25])
@pytest.mark.parametrize("address", ["/growers/{}", "/blocks/{}"])
def test_an_unknown_id_is_not_here(keeper: Visitor, method: str, record_id: str, address: str) -> None:
    found = address.format(record_id)
    assert (
        getattr(keeper, method)(found if method == "post" or "blocks" not in found else f"{found}/edit").status_code
        == 404
    )


@pytest.mark.parametrize("grower", ["", "77", "none", "9" * 25])
def test_a_block_of_no_grower_is_not_here(keeper: Visitor, grower: str) -> None:
    assert keeper.post("/blocks", {"grower": grower, **BLOCK}).status_code == 404
    assert keeper.get(f"/blocks/new?grower={grower}").status_code == 404


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.GRADER, Role.MARKETER, Role.GROWER])
def test_only_the_manager_keeps_the_book(sqlite_database: Database, role: Role) -> None:
    grower_id = a_grower(sqlite_database)
    someone = visitor(sqlite_database, role)
    assert someone.get("/growers/new").status_code == 403
    assert someone.post("/growers", {"name": "Mine"}).status_code == 403
    assert someone.post("/blocks", {"grower": str(grower_id), **BLOCK}).status_code == 403
    assert len(growers(sqlite_database)) == 1


def test_a_grower_sees_own_blocks_only(sqlite_database: Database) -> None:
    mine, other = a_grower(sqlite_database), a_grower(sqlite_database, "Second")
    a_block(sqlite_database, mine, "Ridge 3")
    a_block(sqlite_database, other, "Far paddock")
    grower = visitor(sqlite_database, Role.GROWER, grower_id=mine)
    page = words(parsed(grower.get("/blocks")))
    assert "Ridge 3" in page
    assert "Far paddock" not in page
    assert grower.get("/growers").status_code == 403


def test_a_form_from_another_site_is_refused(keeper: Visitor, sqlite_database: Database) -> None:
    for headers in ({"origin": "http://elsewhere.example"}, {"sec-fetch-site": "cross-site"}, {"origin": "null"}):
        assert keeper.post("/growers", {"name": "Mine"}, headers=headers).status_code == 403
    assert growers(sqlite_database) == []


def test_a_name_that_differs_by_capitals_or_spaces_is_taken(sqlite_database: Database) -> None:
    manager = visitor(sqlite_database, Role.MANAGER)
    manager.post("/growers", {"name": "Tallow Creek"})
    answer = manager.post("/growers", {"name": "tallow  creek"})
    assert answer.status_code == 422
    assert "There is a grower called Tallow Creek already" in error_at(parsed(answer), "name")
    block = {"grower": "1", "name": "Ridge 3", "crop": "mango", "variety": "calypso", "area": "2"}
    assert manager.post("/blocks", block).status_code == 303
    again = manager.post("/blocks", block | {"name": "RIDGE 3"})
    assert "This grower has a block called Ridge 3 already" in error_at(parsed(again), "name")


def test_a_block_takes_the_known_spelling_of_its_variety(sqlite_database: Database) -> None:
    manager = visitor(sqlite_database, Role.MANAGER)
    manager.post("/growers", {"name": "Tallow Creek"})
    form = parsed(manager.get("/blocks/new?grower=1"))
    offered = [str(option["value"]) for option in form.select("#varieties option")]
    known = library.crops()["mango"].varieties[0]
    assert known in offered
    for name, typed in (("Ridge 3", known.upper()), ("Ridge 4", "Old Seedling")):
        manager.post("/blocks", {"grower": "1", "name": name, "crop": "mango", "variety": typed, "area": "2"})
    with sqlite_database.reading() as session:
        assert [row.variety for row in session.exec(select(Block).order_by(Block.name))] == [known, "Old Seedling"]
