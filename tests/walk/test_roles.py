"""Every route, asked by every role for an own record, another grower's and a missing one, against the written table."""

import pytest
from httpx2 import Response

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.walk.records import OTHER, Records, records
from tests.walk.roles_table import WHO, Row, rows
from tests.walk.routes import every_route, filled
from tests.walk.walker import Walker, walker

EVERY_ROW = tuple(rows())
AS_HTMX = {"hx-request": "true"}


def said(response: Response) -> str:
    """The answer in the table's words."""
    if response.status_code == 303 and response.headers["location"].startswith("/sign-in"):
        return "in"
    return str(response.status_code)


def ids_for(database: Database, walks: Walker) -> Records:
    """The records; nobody has none of their own, and asks for the first person's."""
    return records(database, walks.person_id or 1)


def told_otherwise(walks: Walker, who: str, row: Row, ids: Records) -> list[str]:
    """What one role was told at one route, where that is not what the table says."""
    asked = [whose for whose in row.answers[who] if whose != OTHER or is_another(row, ids)]
    answers = {whose: said(walks.asks(row, ids.of(whose))) for whose in asked}
    return [
        f"{row.route} ({whose}) as {who}: {answer}, and the table says {row.answers[who][whose]}"
        for whose, answer in answers.items()
        if answer != row.answers[who][whose]
    ]


def is_another(row: Row, ids: Records) -> bool:
    """Whether the other's record is one of its own: what is the shed's is asked for once."""
    return filled(row.route.path, ids.own) != filled(row.route.path, ids.other) or any(
        ids.own[name] != ids.other[name] for name in row.along.values()
    )


def test_every_route_has_its_row() -> None:
    without = sorted(map(str, set(every_route()) - {row.route for row in EVERY_ROW}))
    assert without == [], "Add a row to tests/walk/roles_table.py that says what each role gets there."


def test_every_row_has_its_route() -> None:
    assert {str(row.route) for row in EVERY_ROW} - set(map(str, every_route())) == set()


@pytest.mark.parametrize("who", WHO)
def test_each_role_gets_what_the_table_says(demo_database: Database, who: str) -> None:
    walks = walker(demo_database, *WHO[who])
    ids = ids_for(demo_database, walks)
    assert [found for row in EVERY_ROW for found in told_otherwise(walks, who, row, ids)] == []


def test_a_fragment_is_kept_from_a_grower_as_its_page_is(demo_database: Database) -> None:
    walks = walker(demo_database, Role.GROWER)
    ids = ids_for(demo_database, walks)
    asked = [row for row in EVERY_ROW if row.route.method == "GET" and OTHER in row.answers["grower"]]
    wrong = [
        str(row.route) for row in asked if said(walks.asks(row, ids.other, **AS_HTMX)) != row.answers["grower"][OTHER]
    ]
    assert len(asked) > 10
    assert wrong == []


def test_another_s_record_looks_to_a_grower_as_if_it_were_not_there(demo_database: Database) -> None:
    walks = walker(demo_database, Role.GROWER)
    ids = ids_for(demo_database, walks)
    refused = [row for row in EVERY_ROW if row.answers["grower"].get(OTHER) == "404"]
    differing = [
        str(row.route) for row in refused if walks.asks(row, ids.other).text != walks.asks(row, ids.missing).text
    ]
    assert len(refused) > 5
    assert differing == []
