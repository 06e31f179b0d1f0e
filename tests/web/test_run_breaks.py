"""The page of a run's breaks: those in force, the best ones, and new ones on trial by their first weighed trays."""

import re
from fractions import Fraction
from math import sqrt

import pytest
from sqlmodel import Session

from shedgrade.domain.people import Role
from shedgrade.domain.run.events import Break
from shedgrade.domain.run.state import RunState
from shedgrade.domain.run.trial import GONE_BACK, KEPT, Followed, Promise, promise_in
from shedgrade.domain.trays.best_breaks import best_breaks
from shedgrade.domain.trays.breaks import Packing
from shedgrade.domain.trays.fill_rule import few_short
from shedgrade.domain.trays.sizer_error import error_dg
from shedgrade.storage import runs
from shedgrade.storage.database import Database
from shedgrade.storage.markets import tray_type
from shedgrade.storage.people import person
from tests.support import running, season, worked
from tests.support.visitor import Visitor, error_at, parsed, visitor, words
from tests.support.worked import Worked

WEIGHTS = [*range(2900, 6300, 37)]
COUNTS = (14, 16, 18, 20)
BEFORE = (5000, 4380, 3890, 3500)


@pytest.fixture
def case(sqlite_database: Database) -> Worked:
    """Its fruit are clean, so all of the best class; half of them from either bin."""
    with sqlite_database.writing() as session:
        found = worked.consignment(session)
        taken = season.sample(session, found.consignment, tray_type_id=found.tray)
        for place, bin_id in enumerate(season.bins_of(session, found.consignment)[:2]):
            draw = season.draw(session, taken, bin_id)
            season.many_fruit(session, draw, [(weight, ()) for weight in WEIGHTS[place::2]])
        session.commit()
    return found


@pytest.fixture
def run(sqlite_database: Database, case: Worked) -> int:
    with sqlite_database.writing() as session:
        breaks = tuple(Break(case.tray, *each) for each in zip(COUNTS, BEFORE, strict=True))
        run_id = running.started(session, case.consignment, (case.tray,), breaks)
        session.commit()
    return run_id


@pytest.fixture
def manager(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


def form(who: Visitor, run: int, query: str = "", action: str = "/trial") -> dict[str, str]:
    """What a form of the page sends."""
    page = parsed(who.get(f"/runs/{run}/breaks{query}"))
    (found,) = page.select(f'form[method="post"][action="/runs/{run}/breaks{action}"]')
    return {str(each["name"]): str(each["value"]) for each in found.select("input[type=hidden]")}


def state_of(session: Session, run: int) -> RunState:
    supervisor = person(session, season.shed_person(session, "Line", Role.SUPERVISOR))
    return runs.run_for(session, supervisor, run).state


def edges_now(database: Database, run: int) -> list[int]:
    with database.reading() as session:
        return [each.from_dg for each in sorted(state_of(session, run).stretch.breaks, key=lambda each: each.count)]


def begin(who: Visitor, run: int) -> None:
    assert who.post(f"/runs/{run}/breaks/trial", form(who, run, "?rule=few&most=5")).status_code == 303


def weigh(database: Database, run: int, case: Worked, nets_g: list[int]) -> None:
    with database.writing() as session:
        running.weighed(run, session, nets_g, case.tray, 16)
        session.commit()


def test_breaks_in_force_stand_beside_the_best_with_the_same_figures(manager: Visitor, run: int) -> None:
    page = parsed(manager.get(f"/runs/{run}/breaks"))
    ways = [row.get_text(" ", strip=True) for row in page.select("table.ranged tbody th")]
    assert [way.split()[0] for way in ways] == ["Best", "In", "Net", "Midway"]
    assert "500, 438, 389, 350" in ways[1]


def test_using_the_best_breaks_begins_a_trial(
    sqlite_database: Database, manager: Visitor, run: int, case: Worked
) -> None:
    with sqlite_database.reading() as session:
        packing = Packing.of(tray_type(session, case.tray), few_short(Fraction(1, 20)))
    begin(manager, run)
    best = best_breaks(WEIGHTS, packing)
    # A count whose edge lies on the one before it gets no fruit, so the run has no break for it.
    assert edges_now(sqlite_database, run) == sorted(set(best.edges_dg) - {best.top_dg}, reverse=True)
    page = words(parsed(manager.get(f"/runs/{run}/breaks?done=breaks")))
    assert "New breaks on trial: 0 of 20 trays weighed" in page
    assert "Weigh the next 20 trays" in page


def test_counts_beyond_the_sample_are_never_short(sqlite_database: Database, manager: Visitor, case: Worked) -> None:
    """No fruit looked at weighs 800 g, but the load may hold some: ten of them must fill the tray of 8 kg."""
    with sqlite_database.writing() as session:
        tray_id = season.tray_type(session, 8000, (10, 12, 14, 16, 18, 20))
        run = running.started(session, case.consignment, (tray_id,))
        session.commit()
    begin(manager, run)
    assert edges_now(sqlite_database, run)[0] == 8000


def test_the_first_twenty_trays_are_followed_and_no_more(
    sqlite_database: Database, manager: Visitor, run: int, case: Worked
) -> None:
    weigh(sqlite_database, run, case, [6000] * 3)  # before the trial: not among them
    begin(manager, run)
    weigh(sqlite_database, run, case, [7050] * 19 + [7010] + [6000] * 5)
    page = words(parsed(manager.get(f"/runs/{run}/breaks")))
    assert "20 of 20 trays weighed" in page
    assert "0 of 20" in page
    assert re.sub(r"\s", " ", "7.048 kg") in re.sub(r"\s", " ", page)
    assert "The trays hold what was promised" in page


def test_more_short_trays_than_chance_are_said(
    sqlite_database: Database, manager: Visitor, run: int, case: Worked
) -> None:
    begin(manager, run)
    weigh(sqlite_database, run, case, [6900] * 12)
    assert "more than chance would bring" in words(parsed(manager.get(f"/runs/{run}/breaks")))


@pytest.mark.parametrize(("decision", "says"), [("keep", KEPT), ("back", GONE_BACK)])
def test_the_decision_is_stored_in_its_reason(
    sqlite_database: Database, manager: Visitor, run: int, case: Worked, decision: str, says: str
) -> None:
    begin(manager, run)
    tried = edges_now(sqlite_database, run)
    weigh(sqlite_database, run, case, [7050] * 20)
    sent = form(manager, run, action="/decision") | {"decision": decision}
    assert manager.post(f"/runs/{run}/breaks/decision", sent).status_code == 303
    assert edges_now(sqlite_database, run) == (tried if decision == "keep" else list(BEFORE))
    with sqlite_database.reading() as session:
        assert state_of(session, run).stretch.why == f"{says}: 0 of 20 weighed trays short"
    page = parsed(manager.get(f"/runs/{run}/breaks"))
    assert says in words(page)
    assert not page.select("form[action$=decision]")


def test_a_decision_on_what_is_over_changes_nothing(sqlite_database: Database, manager: Visitor, run: int) -> None:
    begin(manager, run)
    sent = form(manager, run, action="/decision")
    manager.post(f"/runs/{run}/breaks/decision", sent | {"decision": "back"})
    late = manager.post(f"/runs/{run}/breaks/decision", sent | {"decision": "keep", "form_key": "another"})
    assert late.status_code == 422
    assert "changed meanwhile" in words(parsed(late))
    assert edges_now(sqlite_database, run) == list(BEFORE)


@pytest.mark.parametrize("edges", ["", "heap", "1 2", "5000 5000 5000 6000", "9" * 30])
def test_edges_that_no_page_holds_are_refused(
    sqlite_database: Database, manager: Visitor, run: int, edges: str
) -> None:
    sent = form(manager, run, "?rule=few&most=5") | {"edges": edges}
    assert manager.post(f"/runs/{run}/breaks/trial", sent).status_code == 422
    assert edges_now(sqlite_database, run) == list(BEFORE)


def test_a_run_that_is_over_is_read_only(sqlite_database: Database, manager: Visitor, run: int) -> None:
    begin(manager, run)
    sent = form(manager, run, action="/decision")
    with sqlite_database.writing() as session:
        running.finished(session, run)
        session.commit()
    page = parsed(manager.get(f"/runs/{run}/breaks"))
    assert not page.select('form[method="post"]')
    late = manager.post(f"/runs/{run}/breaks/decision", sent | {"decision": "back"})
    assert late.status_code == 422
    assert "is finished" in words(parsed(late))


def test_who_grades_looks_and_does_not_change(sqlite_database: Database, run: int) -> None:
    grader = visitor(sqlite_database, Role.GRADER)
    page = grader.get(f"/runs/{run}/breaks")
    assert page.status_code == 200
    assert not parsed(page).select('form[method="post"]')
    assert grader.post(f"/runs/{run}/breaks/trial").status_code == 403


def test_the_consignment_leads_to_the_run_that_packs_it(manager: Visitor, run: int, case: Worked) -> None:
    page = parsed(manager.get(f"/consignments/{case.consignment}/breaks"))
    assert page.select(f'a[href="/runs/{run}/breaks"]')


def test_the_error_of_the_sizer_is_found_from_pairs(manager: Visitor, case: Worked) -> None:
    pairs = "\n".join(["400.0 403.0"] * 20)  # √(20 · 3² / 40) = 2.12 g, up to the tenth: 2.2 g
    shown = manager.get(f"/consignments/{case.consignment}/breaks", params={"pairs": pairs})
    assert "The error found is 2.2 g" in words(parsed(shown)).replace("\u202f", " ")
    few = manager.get(f"/consignments/{case.consignment}/breaks", params={"pairs": "400 403"})
    assert few.status_code == 422
    assert "At least 20" in error_at(parsed(few), "pairs")


def test_the_error_of_pairs_by_hand() -> None:
    """Σ d² = 9 + 16 + 0 = 25 over 2 · 3 = 6: √4.17 = 2.04, rounded up."""
    assert error_dg([(10, 13), (20, 16), (5, 5)]) == 3
    assert error_dg([(0, 2), (2, 0)]) == 2  # √(8 / 4) = 1.41 up
    assert error_dg([(7, 7)]) == 0
    for d in range(1, 40):
        assert error_dg([(0, d)]) >= sqrt(d * d / 2) > error_dg([(0, d)]) - 1


@pytest.mark.parametrize(
    "promise", [Promise(24, 120, (10, 340)), Promise(-3, 0), Promise(0, 10_000, (0, 10_000)), Promise(7, 5, (5, 5))]
)
def test_a_promise_is_read_back_from_its_words(promise: Promise) -> None:
    assert promise_in(promise.says()) == promise


def test_more_than_chance_by_the_binomial_distribution() -> None:
    """Of 20 trays at 5 %: P(at least 3) = 0.0755, P(at least 4) = 0.0159 (tables of the binomial, from memory)."""
    promise = Promise(20, 200, (0, 500))
    assert not Followed(7000, (6999,) * 3 + (7000,) * 17).is_shorter_than(promise)
    assert Followed(7000, (6999,) * 4 + (7000,) * 16).is_shorter_than(promise)
    assert not Followed(7000, (7000,) * 20).is_shorter_than(Promise(20, 0))
