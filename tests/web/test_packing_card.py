"""The packing card of a run: what a packer reads on it, in one language and in two."""

import re
from datetime import date
from math import pi, sqrt

import pytest

from shedgrade.actions.settings import RuleFacts, Setter, set_rule
from shedgrade.domain.card_words import LANGUAGES, LAYING
from shedgrade.domain.people import Role
from shedgrade.domain.run.events import Break
from shedgrade.domain.settings import CARD_LANGUAGE, NO_SECOND_LANGUAGE
from shedgrade.storage.database import Database
from tests.support import running, season, worked
from tests.support.visitor import Visitor, one, parsed, visitor, words


@pytest.fixture
def run(sqlite_database: Database) -> int:
    with sqlite_database.writing() as session:
        found = worked.consignment(session)
        breaks = (Break(found.tray, 14, 5000), Break(found.tray, 16, 4380), Break(found.tray, 18, 3890))
        run_id = running.started(session, found.consignment, (found.tray,), breaks)
        session.commit()
    return run_id


@pytest.fixture
def grader(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.GRADER)


def read(who: Visitor, run: int) -> str:
    return re.sub(r"[\u202f\u00a0]", " ", words(parsed(who.get(f"/runs/{run}/card"))))


def speak(database: Database, language: str) -> None:
    with database.writing() as session:
        by = Setter(season.shed_person(session), season.RECEIVED, date(2026, 1, 1))
        set_rule(session, CARD_LANGUAGE, RuleFacts(language, date(2026, 1, 1), "our packers"), 1, by)
        session.commit()


def test_the_card_says_what_to_pack_by(grader: Visitor, run: int) -> None:
    card = read(grader, run)
    for said in ("Mango, Codex CXS 184, version 1", "Label 7 kg", "438 g 500 g", "Tallow Creek, Ridge 3", "rot"):
        assert said in card
    assert "values of this spec are from memory" in card
    assert LAYING["mango"].how in card
    assert "Sap burns skin" in card


def test_each_area_limit_has_its_circle(grader: Visitor, run: int) -> None:
    """Codex CXS 184-1993, 2.1.2, from memory: skin defects up to 3, 4, 5 cm² in Class I and 5, 6, 7 in Class II, for
    size groups A, B, C. A circle of A has the diameter √(4 A / π)."""
    page = parsed(grader.get(f"/runs/{run}/card"))
    cells = page.select("td .card-cell:has(svg.true-size)")
    across = [float(str(one(cell, "svg")["width"]).removesuffix("mm")) for cell in cells]
    assert sorted(across) == pytest.approx([sqrt(400 * cm2 / pi) for cm2 in (3, 4, 5, 5, 6, 7)], abs=0.001)
    for cell, mm in zip(cells, across, strict=True):
        (said,) = re.findall(r"at most (\d)", cell.get_text())
        assert mm == pytest.approx(sqrt(400 * int(said) / pi), abs=0.001)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_second_language_stands_beside_and_is_said_to_be_unconfirmed(
    sqlite_database: Database, grader: Visitor, run: int, language: str
) -> None:
    speak(sqlite_database, language)
    page = parsed(grader.get(f"/runs/{run}/card"))
    second = {each.get_text(): each["lang"] for each in page.select(".second")}
    assert set(second.values()) == {LANGUAGES[language].tag}
    for english in ("Packing card", "Class I", "rot", LAYING["mango"].how):
        assert LANGUAGES[language].says(english) in second
    assert "translation to be confirmed by a speaker" in words(page)
    assert "lenticels and sun yellowing" in words(page)  # not in the table: English alone


def test_without_a_second_language_there_is_none(grader: Visitor, run: int) -> None:
    page = parsed(grader.get(f"/runs/{run}/card"))
    assert not page.select(".second")
    assert "translation" not in words(page)


def test_the_languages_have_the_same_words() -> None:
    said = [set(each.words) for each in LANGUAGES.values()]
    assert all(each == said[0] for each in said)
    for laying in LAYING.values():
        assert {laying.how, laying.caution} <= said[0]


def test_the_setting_takes_its_own_words_only() -> None:
    assert CARD_LANGUAGE.parse(" spanish ") == "Spanish"
    assert {*CARD_LANGUAGE.among} == {NO_SECOND_LANGUAGE, *LANGUAGES}
    with pytest.raises(ValueError, match="One of: none; French; Spanish"):
        CARD_LANGUAGE.parse("Klingon")


def test_a_run_that_is_over_has_its_card(sqlite_database: Database, grader: Visitor, run: int) -> None:
    with sqlite_database.writing() as session:
        running.finished(session, run)
        session.commit()
    assert "This run is over" in read(grader, run)


@pytest.mark.parametrize("paper", ["lying", "", "heap"])
def test_any_paper_gives_a_card(grader: Visitor, run: int, paper: str) -> None:
    page = parsed(grader.get(f"/runs/{run}/card?paper={paper}"))
    assert bool(page.select("body.packing-card-lying")) is (paper == "lying")
