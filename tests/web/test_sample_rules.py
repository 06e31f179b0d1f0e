"""The rules of a sample, for a tablet that judges its fruit itself."""

from hashlib import sha256

import pytest

from shedgrade.actions.growers import BlockFacts, change_block
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.text import write_spec
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Block, Consignment
from tests.support.bench import Bench, bench
from tests.support.visitor import Visitor, visitor


def test_they_name_the_spec_and_hold_the_tray_of_the_sample(grader: Visitor, made: Bench) -> None:
    answer = grader.get(f"/samples/{made.sample}/rules")
    spec, rules = library.standards()["mango-agmark"], answer.json()
    hashed = sha256(write_spec(spec).encode()).hexdigest()
    assert rules["spec"] == {"id": spec.id, "title": spec.title, "sha256": hashed}
    assert rules["tray"]["net_dg"] == 70_000
    assert answer.headers["content-type"] == "application/json"


def test_a_browser_keeps_them_for_itself_and_asks_whether_they_still_stand(grader: Visitor, made: Bench) -> None:
    address = f"/samples/{made.sample}/rules"
    first = grader.get(address)
    assert first.headers["cache-control"] == "private, no-cache"
    again = grader.get(address, headers={"if-none-match": first.headers["etag"]})
    assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", first.headers["etag"])
    assert again.headers["cache-control"] == "private, no-cache"


def test_they_change_with_what_the_load_shares(sqlite_database: Database, grader: Visitor) -> None:
    by_variety = bench(sqlite_database, library.standards()["mango-au-class1-2016"], number="1043")
    address = f"/samples/{by_variety.sample}/rules"
    held = grader.get(address).headers["etag"]
    with sqlite_database.writing() as session:
        block = session.get_one(Block, session.get_one(Consignment, by_variety.consignment).block_id)
        change_block(session, block, BlockFacts(block.name, "mango", "R2E2", block.area_m2), block.version)
        session.commit()
    changed = grader.get(address, headers={"if-none-match": held})
    assert changed.status_code == 200
    assert changed.headers["etag"] != held


@pytest.mark.parametrize("role", [Role.MARKETER, Role.GROWER])
def test_only_who_may_grade_gets_them(sqlite_database: Database, made: Bench, role: Role) -> None:
    assert visitor(sqlite_database, role).get(f"/samples/{made.sample}/rules").status_code == 403


def test_a_sample_that_is_not_there(grader: Visitor, made: Bench) -> None:
    assert grader.get("/samples/999/rules").status_code == 404
