"""The page of size breaks: the best ones for a consignment's own fruit, by a rule, beside the common ways."""

import re
from fractions import Fraction

import pytest

from shedgrade.domain.people import Role
from shedgrade.domain.trays.best_breaks import best_breaks
from shedgrade.domain.trays.breaks import Packing
from shedgrade.domain.trays.fill_rule import average_quantity, few_short
from shedgrade.domain.trays.net_weight.rule_sets import RULE_SETS
from shedgrade.storage.database import Database
from shedgrade.storage.markets import tray_type
from tests.support import season, worked
from tests.support.visitor import Visitor, error_at, parsed, visitor, words
from tests.support.worked import Worked

WEIGHTS = [*range(2900, 6300, 37)]


@pytest.fixture
def case(sqlite_database: Database) -> Worked:
    """Its fruit are clean, so all of the best class, and of many weights, half of them from either bin."""
    with sqlite_database.writing() as session:
        found = worked.consignment(session)
        taken = season.sample(session, found.consignment, tray_type_id=found.tray)
        for place, bin_id in enumerate(season.bins_of(session, found.consignment)[:2]):
            draw = season.draw(session, taken, bin_id)
            season.many_fruit(session, draw, [(weight, ()) for weight in WEIGHTS[place::2]])
        session.commit()
    return found


@pytest.fixture
def manager(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


def address(case: Worked, query: str = "") -> str:
    return f"/consignments/{case.consignment}/breaks{query}"


def rows(who: Visitor, case: Worked, query: str, place: int = 0) -> list[list[str]]:
    table = parsed(who.get(address(case, query))).select("table")[place]
    return [
        [re.sub(r"[\u202f\u00a0\s]+", " ", cell.get_text(" ", strip=True)) for cell in row.select("th, td")]
        for row in table.select("tbody tr")
    ]


def packed_by(database: Database, case: Worked, query: str) -> Packing:
    """The packing that a query asks for, put together here."""
    with database.reading() as session:
        tray = tray_type(session, case.tray)
    return Packing.of(tray, few_short(Fraction(1, 20)) if "few" in query else average_quantity(tray.net_g * 15 // 1000))


@pytest.mark.parametrize("query", ["", "?rule=few&most=5"])
def test_the_breaks_are_the_best_for_these_fruit(
    sqlite_database: Database, manager: Visitor, case: Worked, query: str
) -> None:
    found = best_breaks(WEIGHTS, packed_by(sqlite_database, case, query))
    shown = {int(row[0]): row[1] for row in rows(manager, case, query)}
    expected = dict(zip(found.counts, found.edges_dg, strict=True))
    assert len(shown) > 1
    assert shown == {count: f"{expected[count] / 10:g} g" for count in shown}


def test_net_weight_over_count_stands_beside_it_and_is_never_short(manager: Visitor, case: Worked) -> None:
    best, plain, _ = rows(manager, case, "", place=1)
    assert (best[1], plain[1]) == ("yes", "yes")
    assert plain[4].startswith("0.0 %")
    over = [int(row[2].split()[0].replace("\u2212", "-")) for row in (best, plain)]
    assert over[0] < over[1]


def test_few_fruit_are_said_to_be_few(manager: Visitor, case: Worked) -> None:
    page = words(parsed(manager.get(address(case))))
    assert "Only 92 fruit from 2 bins" in page
    assert "Pack 20 trays" in page


def test_money_is_for_those_who_see_prices(sqlite_database: Database, manager: Visitor, case: Worked) -> None:
    grader = visitor(sqlite_database, Role.GRADER)
    assert "Most money" not in words(parsed(grader.get(address(case))))
    refused = grader.get(address(case, "?aim=money"))
    assert refused.status_code == 422
    shown = parsed(manager.get(address(case, "?aim=money")))
    assert "Given away" in words(shown)


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("step", "abc", "abc"),
        ("step", "0", "from 1 g"),
        ("error", "-3", "accepted"),
        ("drying", "30 %", "from 0 to 20 %"),
        ("most", "0", "accepted"),
        ("day", "heap", "heap"),
        ("tray", "999", "not one of the choices"),
        ("class", "none", "not one of the choices"),
        ("rule", "other", "not one of the choices"),
        ("text", "other", "not one of the choices"),
    ],
)
def test_what_cannot_be_is_said_by_its_field(manager: Visitor, case: Worked, field: str, typed: str, says: str) -> None:
    rule = "few" if field == "most" else "average"
    query = {"rule": rule, field: typed}
    answer = manager.get(address(case, "?" + "&".join(f"{key}={value}" for key, value in query.items())))
    assert answer.status_code == 422
    page = parsed(answer)
    assert says in error_at(page, field).replace("\u202f", " ")


def test_without_fruit_it_says_what_comes_first(sqlite_database: Database, manager: Visitor) -> None:
    with sqlite_database.writing() as session:
        found = worked.consignment(session)
        session.commit()
    assert "take some from several bins first" in words(parsed(manager.get(address(found))))


def test_every_text_offered_has_a_tolerance_for_the_tray(manager: Visitor, case: Worked) -> None:
    offered = [
        option["value"] for option in parsed(manager.get(address(case))).select("#f-text option, [name=text] option")
    ]
    assert set(offered) < set(RULE_SETS)
    for text in offered:
        assert manager.get(address(case, f"?text={text}")).status_code == 200
