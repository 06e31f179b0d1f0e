"""The shed's rules: every one on the page, in the documents and in use; setting them, and what is refused."""

import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError
from sqlmodel import col, select

from shedgrade.actions.settings import RuleFacts, Setter, set_rule
from shedgrade.domain import settings as rules
from shedgrade.domain.people import Role
from shedgrade.domain.settings import IDLE_MINUTES, KEEPING_YEARS, RULES, SHED_NAME, AnyRule, years_after
from shedgrade.domain.units import THIN
from shedgrade.storage import settings
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.tables import Change, SettingRow
from shedgrade.web.pages import say_day
from tests.support.forms import filled
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

HOME = Path(__file__).parents[2]
TODAY = datetime.now(UTC).date()
NEXT_WEEK = TODAY + timedelta(days=7)
FORM = {"value": "7", "valid_from": f"{TODAY}", "source": "The accountant's advice", "version": "1"}
SHED = [Role.SUPERVISOR, Role.GRADER, Role.MARKETER, Role.GROWER]


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


def rows(database: Database) -> list[SettingRow]:
    with database.reading() as session:
        return list(session.exec(select(SettingRow).order_by(col(SettingRow.id))))


def put(database: Database, rule: AnyRule, value: int, begins: date, version: int = 1) -> None:
    """Set a rule as the first person, on the day it begins."""
    with database.writing() as session:
        act_as(session, Actor(1, "the office", datetime.now(UTC)))
        set_rule(
            session, rule, RuleFacts(value, begins, "our own choice"), version, Setter(1, datetime.now(UTC), begins)
        )
        session.commit()


def plain(text: str) -> str:
    return text.replace(THIN, " ")


def section(visitor: Visitor, rule: AnyRule) -> str:
    return words(parsed(visitor.get("/settings")), f"#{rule.key}")


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_every_rule_is_shown_with_value_and_source(keeper: Visitor, rule: AnyRule) -> None:
    shown = section(keeper, rule)
    for expected in (rule.name, plain(rule.say_default()), rule.source, "as the program comes"):
        assert expected in shown
    assert one(parsed(keeper.get("/settings")), f"#{rule.key} a.button")["href"] == f"/settings/{rule.key}/new"


def test_the_documents_tell_every_rule_and_no_other() -> None:
    told = HOME.joinpath("DEVELOPERS.md").read_text("utf-8").split("### Rules of the shed")[1].split("\n## ")[0]
    lines = [line for line in told.splitlines() if line.startswith("| `")]
    assert lines == [
        f"| `{rule.key}` | {rule.name} | {plain(rule.say_default())} | {rule.source} |" for rule in RULES.values()
    ]


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_every_rule_is_read_by_the_program(rule: AnyRule) -> None:
    name = next(name for name, value in vars(rules).items() if value is rule)
    program = (
        path
        for path in HOME.joinpath("shedgrade").rglob("*.py")
        if path.name != "settings.py" or "domain" not in path.parts
    )
    readers = [path for path in program if re.search(rf"\bin_force\([^)]*\b{name}\b", path.read_text("utf-8"))]
    assert readers, f"nothing asks what {name} is"


def test_a_value_from_today_holds_at_once_and_the_one_before_stays_in_sight(
    keeper: Visitor, sqlite_database: Database
) -> None:
    answer = keeper.post("/settings/keeping-years", FORM)
    assert (answer.status_code, answer.headers["location"]) == (303, "/settings?done=setting")
    row = rows(sqlite_database)[0]
    assert (row.key, row.value, row.valid_from, row.source) == ("keeping-years", "7", TODAY, FORM["source"])
    table = words(parsed(keeper.get("/settings")), "#keeping-years table")
    assert re.search(r"7 years .+ in force The accountant's advice shed manager ", table)
    assert "6 years the start earlier" in table


def test_a_coming_value_is_shown_as_coming_and_does_not_hold_yet(keeper: Visitor) -> None:
    keeper.post("/settings/keeping-years", FORM | {"valid_from": f"{NEXT_WEEK}"})
    shown = section(keeper, KEEPING_YEARS)
    assert "In force 6 years as the program comes" in shown
    assert f"Coming 7 years from {say_day(NEXT_WEEK)}, set by shed manager" in shown


def test_of_one_day_the_value_entered_last_holds(keeper: Visitor) -> None:
    keeper.post("/settings/keeping-years", FORM)
    keeper.post("/settings/keeping-years", FORM | {"value": "70", "version": "2"})
    shown = section(keeper, KEEPING_YEARS)
    assert "In force 70 years" in shown
    assert re.search(r"\b7 years .+ replaced", shown)


def test_nothing_is_deleted_before_the_keeping_time_is_over(keeper: Visitor) -> None:
    assert f"kept until {say_day(years_after(TODAY, 6))} at least" in section(keeper, KEEPING_YEARS)
    keeper.post("/settings/keeping-years", FORM | {"valid_from": f"{NEXT_WEEK}", "value": "10"})
    assert f"kept until {say_day(years_after(TODAY, 10))} at least" in section(keeper, KEEPING_YEARS)


def test_fewer_years_than_before_are_asked_about_once(keeper: Visitor, sqlite_database: Database) -> None:
    typed = FORM | {"value": "3"}
    answer = keeper.post("/settings/keeping-years", typed)
    page = parsed(answer)
    assert answer.status_code == 422
    assert "fewer than the 6 years that held so far" in words(page, "#f-value-look")
    assert "The longest time that any law, tax office or buyer's rule asks of you decides" in words(
        page, "#f-value-look"
    )
    assert rows(sqlite_database) == []
    assert keeper.post("/settings/keeping-years", filled(page, "/settings/keeping-years")).status_code == 303
    assert [row.value for row in rows(sqlite_database)] == ["3"]


def test_another_number_is_asked_about_anew_and_more_years_are_not(keeper: Visitor) -> None:
    page = parsed(keeper.post("/settings/keeping-years", FORM | {"value": "3"}))
    assert keeper.post("/settings/keeping-years", filled(page, "/settings/keeping-years", value="2")).status_code == 422
    assert keeper.post("/settings/keeping-years", FORM | {"value": "6"}).status_code == 303


def test_the_form_has_one_primary_action_and_a_way_back(keeper: Visitor) -> None:
    page = parsed(keeper.get("/settings/keeping-years/new"))
    assert [each.get_text(strip=True) for each in page.select("form .button")] == ["Save", "Back"]
    assert len(page.select(".button.act")) == 1


def receipt_name(someone: Visitor) -> str:
    return words(parsed(someone.get("/settings")), ".shed")


def test_the_shed_has_the_name_it_was_started_with_until_one_is_set(sqlite_database: Database) -> None:
    keeper = visitor(sqlite_database, Role.MANAGER, shed_name="Ninth Gate")
    assert receipt_name(keeper) == "Ninth Gate"
    assert "The shed is called In force Ninth Gate as the program comes" in section(keeper, SHED_NAME)
    answer = keeper.post("/settings/shed-name", FORM | {"value": "  Tenth   Gate "})
    assert answer.headers["location"] == "/settings?done=setting"
    assert receipt_name(keeper) == "Tenth Gate"
    keeper.post("/settings/shed-name", FORM | {"value": "Eleventh", "valid_from": f"{NEXT_WEEK}", "version": "2"})
    assert receipt_name(keeper) == "Tenth Gate"
    assert "Coming Eleventh" in section(keeper, SHED_NAME)
    later = visitor(sqlite_database, Role.MANAGER, Role.GRADER, clock_shift=timedelta(days=8))
    assert receipt_name(later) == "Eleventh"


def test_a_name_is_said_to_who_is_not_signed_in_and_on_a_refusal(keeper: Visitor, sqlite_database: Database) -> None:
    keeper.post("/settings/shed-name", FORM | {"value": "Tenth Gate"})
    stranger = Visitor(sqlite_database, None)
    for answer in (stranger.get("/sign-in"), keeper.get("/nothing"), keeper.post("/growers", {"name": ""})):
        assert words(parsed(answer), ".shed") == "Tenth Gate"


def test_a_name_too_long_is_refused_by_the_field(keeper: Visitor, sqlite_database: Database) -> None:
    answer = keeper.post("/settings/shed-name", FORM | {"value": "x" * 81})
    assert answer.status_code == 422
    assert error_at(parsed(answer), "value") == "That is 81 letters long; at most 80 fit."
    assert rows(sqlite_database) == []


def test_a_page_that_says_what_broke_needs_no_database(keeper: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_args: object) -> str:
        raise OperationalError("SELECT", {}, Exception("gone"))

    monkeypatch.setattr(settings, "in_force", broken)
    answer = Visitor.get(keeper, "/nothing")
    assert answer.status_code == 404
    assert words(parsed(answer), ".shed") == "The shed"


@pytest.mark.parametrize(("begins", "status"), [(3, 303), (4, 200)])
def test_a_rule_holds_from_the_shed_s_own_day_on(sqlite_database: Database, begins: int, status: int) -> None:
    """It is three days later in this shed than anywhere else; people signed in there 25 hours ago."""
    keeper = visitor(sqlite_database, Role.MANAGER, clock_shift=timedelta(days=3))
    from_day = {"valid_from": f"{TODAY + timedelta(days=begins)}"}
    assert keeper.post("/settings/sign-in-days", FORM | {"value": "1"} | from_day).status_code == 303
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql("UPDATE sign_in SET proved_at = datetime(proved_at, '-25 hours')")
        session.commit()
    assert keeper.get("/settings").status_code == status


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("value", "", "Fill this in."),
        ("value", "six", "is not a number"),
        ("value", "0", "too small; a whole number from 1 to 99"),
        ("value", "100", "too big"),
        ("value", "6.5", "a whole number"),
        ("valid_from", "", "Fill this in."),
        ("valid_from", "soon", "is no day"),
        ("valid_from", f"{TODAY - timedelta(days=2)}", "That day is over. Take today or a later day."),
        ("source", "  ", "Fill this in."),
        ("source", "x" * 301, "at most 300 fit"),
    ],
)
def test_refuses_a_value_by_the_field(
    keeper: Visitor, sqlite_database: Database, field: str, typed: str, sentence: str
) -> None:
    answer = keeper.post("/settings/keeping-years", FORM | {field: typed})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, field)
    assert one(page, ".errors a")["href"] == f"#f-{field}"
    assert {name: typed_in(page, name) for name in FORM} == FORM | {field: typed}
    assert rows(sqlite_database) == []


@pytest.mark.parametrize("version", ["0", "1", "3", "", "old", "9" * 30])
def test_a_stale_save_says_what_is_stored_and_who_stored_it(
    keeper: Visitor, sqlite_database: Database, version: str
) -> None:
    other = visitor(sqlite_database, Role.MANAGER, Role.GRADER)
    other.post("/settings/keeping-years", FORM | {"value": "6"})
    answer = keeper.post("/settings/keeping-years", FORM | {"version": version})
    page = parsed(answer)
    assert answer.status_code == 409
    assert "shed manager, grader saved this at " in words(page)
    assert f"Stored now: 6 years from {say_day(TODAY)}" in words(page)
    assert (typed_in(page, "value"), typed_in(page, "version")) == ("7", "2")
    assert [row.value for row in rows(sqlite_database)] == ["6"]
    assert keeper.post("/settings/keeping-years", FORM | {"version": "2"}).status_code == 303


def test_a_mistake_does_not_make_a_stale_form_fresh(keeper: Visitor, sqlite_database: Database) -> None:
    put(sqlite_database, KEEPING_YEARS, 8, TODAY)
    page = parsed(keeper.post("/settings/keeping-years", FORM | {"value": "none"}))
    assert typed_in(page, "version") == "1"


def test_a_version_no_rule_was_at_is_refused_with_the_value_it_comes_with(keeper: Visitor) -> None:
    answer = keeper.post("/settings/keeping-years", FORM | {"version": "5"})
    assert answer.status_code == 409
    assert "6 years" in words(parsed(answer))


def test_the_same_form_twice_stores_once(keeper: Visitor, sqlite_database: Database) -> None:
    typed = FORM | {"form_key": "one sheet of paper"}
    assert [keeper.post("/settings/keeping-years", typed).status_code for _ in range(2)] == [303, 303]
    assert len(rows(sqlite_database)) == 1


def test_the_form_offers_today_and_says_what_holds(keeper: Visitor, sqlite_database: Database) -> None:
    put(sqlite_database, IDLE_MINUTES, 1, TODAY)
    page = parsed(keeper.get("/settings/idle-minutes/new"))
    assert typed_in(page, "valid_from") == f"{TODAY}"
    assert typed_in(page, "version") == "2"
    assert "locks when nobody touches it for 1 minute " in words(page)


@pytest.mark.parametrize("key", ["no-such-rule", "9" * 25, "KEEPING_YEARS"])
def test_an_unknown_rule_is_not_here(keeper: Visitor, sqlite_database: Database, key: str) -> None:
    assert keeper.get(f"/settings/{key}/new").status_code == 404
    assert keeper.post(f"/settings/{key}", FORM).status_code == 404
    assert rows(sqlite_database) == []


@pytest.mark.parametrize("role", SHED)
def test_only_the_manager_sees_and_sets_rules(sqlite_database: Database, role: Role) -> None:
    someone = visitor(sqlite_database, role)
    assert someone.get("/settings").status_code == 403
    assert someone.get("/settings/keeping-years/new").status_code == 403
    assert someone.post("/settings/keeping-years", FORM).status_code == 403
    assert rows(sqlite_database) == []


def test_a_form_from_another_site_is_refused(keeper: Visitor, sqlite_database: Database) -> None:
    for headers in ({"origin": "http://elsewhere.example"}, {"sec-fetch-site": "cross-site"}, {"origin": "null"}):
        assert keeper.post("/settings/keeping-years", FORM, headers=headers).status_code == 403
    assert rows(sqlite_database) == []


def test_setting_a_rule_stands_in_the_history(keeper: Visitor, sqlite_database: Database) -> None:
    keeper.post("/settings/keeping-years", FORM)
    with sqlite_database.reading() as session:
        told = session.exec(select(Change).where(Change.noun == "setting")).one()
    assert told.person_id == 1
    assert '"value": "7"' in told.after
