"""A run's board: what it shows, what it asks for by itself, and drift in words."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import pytest
from sqlmodel import Session

from shedgrade.actions.runs import take_back
from shedgrade.domain.people import Role
from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Cell, Event
from shedgrade.reports.run_mix import KeptMixes, class_mixes
from shedgrade.storage.database import Database
from shedgrade.storage.run_mix import Mix, mix_of
from shedgrade.storage.runs import run_for
from tests.support import season
from tests.support.runs import SIX, at
from tests.support.visitor import Visitor, one, parsed, visitor, words
from tests.support.worked_run import Worked, begun, entered, packed_as_worked


@pytest.fixture
def grader(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.GRADER)


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")


def board_words(person: Visitor, run: int) -> str:
    answer = person.get(f"/runs/{run}/board")
    assert answer.status_code == 200
    return plain(words(parsed(answer)))


def half_hours(worked: Worked, seconds: Sequence[int], of: int = 50) -> list[Event]:
    """So many trays of the second class in each half hour, the others of the first."""
    return [
        say.TraysPacked(at(30 * place + 5), Cell(1, class_id, worked.tray, (16,)), trays)
        for place, second in enumerate(seconds)
        for class_id, trays in (("I", of - second), ("II", second))
        if trays
    ]


def test_the_board_shows_what_the_run_has_come_to(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session, bins=40, net_g=400_000)
        entered(session, worked, packed_as_worked(worked))
        session.commit()
    said = board_words(grader, worked.run)
    assert "20 of 40 bins tipped 20 left" in said
    # The trade notes, 5.3: 5 711 of 8 000 kg packed, 111 kg over the labels of 800 trays.
    assert "Packed of what was tipped 71 % no sample of 1042-1" in said
    assert "Given away 139 g a tray 2.0 % over the label, n 2 trays weighed" in said
    assert "Class I 500 +500 500" in said
    assert "Class II 300 +300 300" in said
    assert "About 800 to come, if the bins left pack like the 20 bins tipped." in said
    assert "Next sample now the run has started" in said


def test_the_sample_stands_beside_with_its_range_and_n(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        entered(session, worked, packed_as_worked(worked))
        sample = season.sample(session, worked.load, tray_type_id=worked.tray)
        for bin_id, good in zip(season.bins_of(session, worked.load), (9, 10, 11), strict=False):
            fruit = [(4_300, ()) for _ in range(good)] + [(1_000, ()) for _ in range(17)]
            season.many_fruit(session, season.draw(session, sample, bin_id), fruit)
        session.commit()
    # By hand: 30 fruit of 430 g and 51 of 100 g: 12 900 of 18 000 g, 71.7 %.
    assert "sample said 72 % (" in board_words(grader, worked.run)
    assert "n 81 from 3 bins" in board_words(grader, worked.run)


def test_a_class_that_drifts_is_told_since_when(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        entered(session, worked, half_hours(worked, [5, 6, 5, 6, 5, 25, 26]))
        session.commit()
    # 22 of 200 in the base are 11 %; from 08:30 on 51 of 100.
    said = board_words(grader, worked.run)
    assert "Class II up since 08:30: 51 % of the trays, 11 % before." in said
    assert "Class I down" not in said
    chart = one(parsed(grader.get(f"/runs/{worked.run}/board")), ".board-chart svg")
    assert len(chart.select(".mix-out")) == 2
    assert "08:30 50 % of 50" in plain(one(chart, "title").get_text())


def test_a_mix_that_goes_on_as_it_began_is_no_drift(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        entered(session, worked, half_hours(worked, [5, 9, 4, 8, 5, 9]))
        session.commit()
    assert "The mix of classes is as in the first 4 half hours." in board_words(grader, worked.run)


def test_too_short_a_run_says_when_drift_can_be_told(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        entered(session, worked, half_hours(worked, [5, 6, 7]))
        session.commit()
    assert "Drift can be told after 1 more half hour of packing." in board_words(grader, worked.run)


def test_reading_on_gives_what_reading_anew_would(database: Database) -> None:
    with database.writing() as session:
        worked = begun(session)
        known = _read_after_each(session, worked)
        assert known == mix_of(session, worked.run, Mix())
        assert dict(known.trays[SIX]) == {"I": 43, "II": 7}
        assert mix_of(session, worked.run, known) is known


def _read_after_each(session: Session, worked: Worked) -> Mix:
    """Read on after each entry; of the first, two are taken back an hour later."""
    known = Mix()
    happened = half_hours(worked, [5, 6])
    second = Cell(1, "II", worked.tray, (16,))
    for event in (*happened, say.TraysPacked(at(9), second, 2)):
        entered(session, worked, [event])
        known = mix_of(session, worked.run, known)
    run = run_for(session, worked.person, worked.run, lock=True)
    take_back(session, run, 1, worked.person.id, at(70), trays=2)
    return mix_of(session, worked.run, known)


def test_no_more_runs_are_kept_in_mind_than_a_shed_looks_at(sqlite_database: Database) -> None:
    kept = KeptMixes()
    with sqlite_database.writing() as session:
        worked = begun(session)
        entered(session, worked, half_hours(worked, [5]))
        run = run_for(session, worked.person, worked.run)
        assert [each.class_id for each in class_mixes(session, kept, run, datetime.now(UTC))] == ["I", "II"]
        for run_id in range(1_000, 1_100):
            kept.read(session, run_id)
    assert worked.run not in kept.by_run
    assert len(kept.by_run) == 64


def test_the_board_asks_for_what_changes_alone(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        session.commit()
    board = one(parsed(grader.get(f"/runs/{worked.run}/board")), "#board")
    assert (board["hx-get"], board["hx-trigger"]) == (f"/runs/{worked.run}/board/now", "every 10s")
    part = grader.get(str(board["hx-get"]), headers={"hx-request": "true"})
    assert "<html" not in part.text
    assert "0 of 20 bins tipped" in plain(part.text)


def test_the_board_of_a_finished_run_stands_still(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        entered(session, worked, [say.LineCleared(at(5)), say.Finished(at(6) + timedelta(seconds=1))])
        session.commit()
    page = parsed(grader.get(f"/runs/{worked.run}/board"))
    assert not one(page, "#board").has_attr("hx-get")
    assert "finished" in words(page)
