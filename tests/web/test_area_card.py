"""The area card is offered and handed out, and the screen can be fitted; growers are not offered the shed's tools."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.exchange.area_card import Paper
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.pdf_drawing import drawing
from tests.support.visitor import Visitor, one, parsed, visitor, words


def test_the_page_says_how_to_print_and_check(grader: Visitor) -> None:
    tree = parsed(grader.get("/area-card"))
    said = words(tree)
    assert "Print at 100 %" in said
    assert "It must be 100 mm long" in said
    assert [link["href"] for link in tree.select(".button-row a")] == ["/area-card/a4", "/area-card/letter"]
    assert len(tree.select("svg.true-size")) == 24


@pytest.mark.parametrize("paper", Paper)
def test_the_card_is_handed_out_as_a_file(grader: Visitor, paper: Paper) -> None:
    answer = grader.get(f"/area-card/{paper}")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["content-disposition"] == f'attachment; filename="area-card-{paper}.pdf"'
    assert len(drawing(answer.content).paths) == 24 + 3


@pytest.mark.parametrize("paper", ["a3", "A4", "a4.pdf", "1"])
def test_another_paper_is_not_there(grader: Visitor, paper: str) -> None:
    assert grader.get(f"/area-card/{paper}").status_code == 404


def test_the_outline_is_that_of_a_bank_card(grader: Visitor) -> None:
    tree = parsed(grader.get("/screen"))
    outline = one(tree, ".bank-card svg")
    assert (outline["width"], outline["height"]) == ("85.6mm", "53.98mm")
    assert "85.6 mm wide and 53.98 mm high: ISO/IEC 7810, size ID-1 (read second-hand" in words(tree)


@pytest.mark.parametrize("address", ["/area-card", "/area-card/a4", "/screen"])
def test_only_the_shed_has_them(sqlite_database: Database, address: str) -> None:
    with sqlite_database.writing() as session:
        grower_id = season.grower(session)
        session.commit()
    assert visitor(sqlite_database, Role.GROWER, grower_id=grower_id).get(address).status_code == 403
    nobody = Visitor(sqlite_database, None).get(address)
    assert nobody.status_code == 303
    assert nobody.headers["location"].startswith("/sign-in")
