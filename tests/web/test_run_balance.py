"""A run's mass balance on its page: the worked case of the trade notes, what trips the alarm, and the sample beside."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Place, Way
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.runs import at
from tests.support.visitor import Visitor, parsed, visitor, words
from tests.support.worked_run import Worked, begun, entered, packed_as_worked


@pytest.fixture
def grader(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.GRADER)


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")


def worked_run(database: Database, *more: say.Event) -> Worked:
    with database.writing() as session:
        worked = begun(session)
        entered(session, worked, [*packed_as_worked(worked), *more])
        session.commit()
    return worked


def balance_words(person: Visitor, run: int) -> str:
    answer = person.get(f"/runs/{run}/balance")
    assert answer.status_code == 200
    return plain(words(parsed(answer)))


def test_the_worked_balance_is_shown_end_to_end(grader: Visitor, sqlite_database: Database) -> None:
    # The trade notes, 5.3: packed 5 711 kg measured, 5 600 by label; 119 kg (1.5 %) unaccounted, 230 kg (2.9 %) by
    # label; pack-out 71.4 and 70.0 %; giveaway 111 kg, 2.0 % of label.
    worked = worked_run(sqlite_database)
    said = balance_words(grader, worked.run)
    assert "119 kg of 8 000 kg is unaccounted for (1.5 %)" in said
    assert "By what the labels say it would look like 230 kg (2.9 %)" in said
    assert "Packed into trays 5 711 kg 5 600 kg 71.4 % estimated: 2 of 800 trays weighed" in said
    assert "Processing 1 750 kg 1 750 kg 21.9 % weighed" in said
    assert "Waste 420 kg 420 kg 5.3 % weighed" in said
    assert "Unaccounted for 119 kg 230 kg 1.5 % what is left over" in said
    assert "The trays carry 111 kg over their labels, 2.0 % of what these say." in said
    assert "provisional" in said
    assert "Look at these first" not in said
    assert "No sample was taken of 1042-1 when it came in" in said


def test_a_finished_run_is_the_last_word(grader: Visitor, sqlite_database: Database) -> None:
    worked = worked_run(sqlite_database, say.LineCleared(at(40)), say.Finished(at(41)))
    assert "provisional" not in balance_words(grader, worked.run)


def test_too_much_unaccounted_lists_the_usual_causes(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        entered(session, worked, packed_as_worked(worked)[:-1])
        session.commit()
    said = balance_words(grader, worked.run)
    assert "539 kg of 8 000 kg is unaccounted for (6.7 %)" in said
    assert "More than 2 % is unaccounted for. Look at these first:" in said
    assert "The tare of the bins was guessed or is old." in said
    assert "from memory until you set your own" in said


def test_more_out_than_in_is_said_as_that(grader: Visitor, sqlite_database: Database) -> None:
    worked = worked_run(sqlite_database, say.LooseWeighed(at(35), Place(Way.OUTLET, "waste"), 200_000))
    assert "81 kg more came out than went in (1.0 %)" in balance_words(grader, worked.run)


def test_storage_loss_samples_and_what_was_carried_have_their_lines(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        happened: list[say.Event] = [
            say.BinsTipped(at(1), worked.load, 2, 790_000),
            say.LooseWeighed(at(2), Place(Way.CARRIED_IN), 20_000),
            say.LooseWeighed(at(3), Place(Way.RERUN), 30_000),
            say.SampleTaken(at(4), 20, 8_600),
            say.LooseWeighed(at(5), Place(Way.CARRIED_OUT), 12_500),
        ]
        entered(session, worked, happened)
        session.commit()
    said = balance_words(grader, worked.run)
    assert "Lost in storage 10 kg 10 kg 1.2 % bins weighed again at tipping" in said
    assert "Carried in from the run before 20 kg" in said
    assert "Samples not put back 8.6 kg" in said
    assert "Carried out to the next run 12.5 kg" in said
    assert "30 kg was put through again. It stands on neither side." in said


@pytest.mark.parametrize(
    ("good", "kind"),
    [
        # 430 g fruit are packed, 17 of 100 g in each bin make no class: 10 of 430 g are 71.7 % of the weight.
        ((9, 10, 11, 10, 9, 11), "so there is nothing to look for"),
        ((19, 20, 21, 20, 19, 21), "this is more than chance"),
    ],
)
def test_pack_out_by_trays_stands_beside_the_sample(
    grader: Visitor, sqlite_database: Database, good: tuple[int, ...], kind: str
) -> None:
    worked = worked_run(sqlite_database)
    with sqlite_database.writing() as session:
        sample = season.sample(session, worked.load, tray_type_id=worked.tray)
        for bin_id, number in zip(season.bins_of(session, worked.load), good, strict=False):
            fruit = [(4_300, ()) for _ in range(number)] + [(1_000, ()) for _ in range(17)]
            season.many_fruit(session, season.draw(session, sample, bin_id), fruit)
        session.commit()
    said = balance_words(grader, worked.run)
    assert "Trays, measured 71.4 %" in said
    assert "Trays, by label 70.0 %" in said
    assert f"{sum(good) + 17 * 6} fruit from 6 bins" in said
    assert kind in said


def test_a_run_that_tipped_nothing_says_so(grader: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        worked = begun(session)
        session.commit()
    assert "Nothing was tipped yet" in balance_words(grader, worked.run)
