"""Trying a draft: on a typed fruit, and on a stored sample at the market's prices."""

from datetime import UTC, datetime
from typing import NamedTuple

import pytest

from shedgrade.actions.spec_drafts import Writer, change_draft, copy
from shedgrade.actions.specs import publish
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_spec
from shedgrade.storage import spec_drafts
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from tests.support import season
from tests.support.stock import stock
from tests.support.visitor import Visitor, error_at, parsed, typed_in, visitor, words

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)


class Shed(NamedTuple):
    """A shed with a sample of forty fruit, all Extra under Codex, and a draft in which size B ends at 430 g."""

    database: Database
    address: str
    manager: Visitor


@pytest.fixture
def shed(sqlite_database: Database) -> Shed:
    with sqlite_database.writing() as session:
        stored = stock(session, prices=False)
        prices = {(stored.tray, "Extra", 16): 2400, (stored.tray, "Extra", 18): 1800}
        season.price_list(session, stored.market, prices, {"processing": 50})
        act_as(session, Actor(None, "", NOW))
        version = publish(session, library.standards()["mango-codex-cxs184"], NOW)
        draft_id = copy(session, version, "Own pack", Writer(1, NOW)).id or 0
        found = spec_drafts.draft(session, draft_id)
        text = found.content.replace(">= 351 g and <= 550 g", ">= 351 g and <= 430 g")
        change_draft(session, found, read_spec(text, library.crops()), 1)
        session.commit()
    return Shed(sqlite_database, f"/drafts/{draft_id}/trial", visitor(sqlite_database, Role.MANAGER))


def plain(text: str) -> str:
    return text.replace("\u202f", " ").replace("\u00a0", " ")


def test_a_typed_fruit_is_judged_at_once(shed: Shed) -> None:
    page = parsed(shed.manager.get(f"{shed.address}?weight=412&mark-rub=2.5"))
    assert words(page, "h1") == "Class I, size B"
    said = [plain(each.get_text()) for each in page.select("main .plain-list")[0].select("li")]
    assert len([each for each in said if ": count " in each]) == 1
    assert [each for each in said if each.startswith("Not Extra Class: rub 2.5")]
    assert typed_in(page, "weight") == "412"
    assert typed_in(page, "mark-rub") == "2.5"
    heavier = parsed(shed.manager.get(f"{shed.address}?weight=440"))
    assert words(heavier, "h1") == "No class"
    assert "Not Class I: 440 g is in no size" in plain(words(heavier, "main"))


def test_a_fault_that_is_there_or_not_is_a_tick(shed: Shed) -> None:
    page = parsed(shed.manager.get(f"{shed.address}?weight=412&mark-rot=yes"))
    assert words(page, "h1") == "No class, size B"
    assert "Not Class I: it has rot" in words(page, "main")
    assert page.select_one("[name=mark-rot][checked]")


@pytest.mark.parametrize(
    ("typed", "field"), [("weight=much", "weight"), ("weight=", "weight"), ("weight=412&mark-rub=red", "mark-rub")]
)
def test_a_fruit_that_cannot_be_is_refused_beside_its_field(shed: Shed, typed: str, field: str) -> None:
    answer = shed.manager.get(f"{shed.address}?{typed}")
    assert answer.status_code == 422
    assert error_at(parsed(answer), field)


@pytest.mark.parametrize("spec", library.standards().values(), ids=lambda spec: spec.id)
def test_every_standard_can_be_tried(shed: Shed, spec: Spec) -> None:
    with shed.database.writing() as session:
        act_as(session, Actor(None, "", NOW))
        draft_id = copy(session, publish(session, spec, NOW), "Another", Writer(1, NOW)).id
        session.commit()
    address = f"/drafts/{draft_id}/trial"
    names = {str(field["name"]) for field in parsed(shed.manager.get(address)).select("main [name]")}
    assert "weight" in names
    answer = shed.manager.get(address, params={"weight": str((spec.crop.lightest_dg // 10) + 60)})
    assert answer.status_code == 200
    assert any(each.name in words(parsed(answer), "h1") for each in spec.classes) or "No class" in words(
        parsed(answer), "h1"
    )


def test_a_stored_sample_says_who_moves_and_what_it_is_worth(shed: Shed) -> None:
    """Of forty fruit the 24 of 440 g lose their size: no class, to processing.

    Before: 24 x 24.00 / 16 + 16 x 18.00 / 18 = 36.00 + 16.00 = 52.00.
    In the draft: 24 x 0.440 kg x 0.50 + 16.00 = 5.28 + 16.00 = 21.28.
    """
    page = parsed(shed.manager.get(shed.address))
    (way,) = [str(link["href"]) for link in page.select("main .list-rows a")]
    page = parsed(shed.manager.get(way))
    assert words(page, "h1") == "24 of 40 fruit would change class: 0 better, 24 worse"
    text = plain(words(page))
    assert "would be worth 21.28 AUD instead of 52.00 AUD, a change of −30.72 AUD" in text.replace("-30", "−30")
    assert "40 of the 40 fruit have a price under both" in text
    first = [cell.get_text(strip=True) for cell in page.select("table")[0].select("tbody tr")[0].select("th, td")]
    assert (first[0], first[1], first[-2], first[-1]) == ("Extra Class", "16", "24", "40")
    assert "440 g is in no size" in text


def test_whoever_sees_no_prices_is_told_no_value(shed: Shed) -> None:
    text = words(parsed(visitor(shed.database, Role.GRADER).get(f"{shed.address}/samples/1")))
    assert "24 of 40 fruit would change class" in text
    assert "AUD" not in text


def test_a_sample_of_other_fruit_is_not_there(shed: Shed) -> None:
    with shed.database.writing() as session:
        act_as(session, Actor(None, "", NOW))
        other = publish(session, library.standards()["orange-eu"], NOW)
        draft_id = copy(session, other, "Orange", Writer(1, NOW)).id
        session.commit()
    assert shed.manager.get(f"/drafts/{draft_id}/trial/samples/1").status_code == 404
    assert "No sample of this fruit is stored yet." in words(parsed(shed.manager.get(f"/drafts/{draft_id}/trial")))
