"""Going from bin to bin: none is passed over for good, and no fruit lands in a bin it was not taken from."""

from dataclasses import replace

import pytest
from sqlmodel import Session, col, select

from shedgrade.actions import samples
from shedgrade.actions.draws import NoBinLeftError, go_to_bin, next_draw
from shedgrade.actions.samples import FruitEntry
from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.sampling.question import Question
from shedgrade.storage.bench import OpenDraw, bench_sample
from shedgrade.storage.database import Database
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import Draw
from tests.support import season
from tests.support.bench import Bench, bench


def go_on(session: Session, made: Bench) -> str:
    """The name of the next draw."""
    return next_draw(session, bench_sample(session, made.sample)).name


def save(session: Session, made: Bench, key: str, here: OpenDraw | None = None) -> OpenDraw:
    """Store a fruit from a form that stands at this draw; the draw it went into."""
    entry = FruitEntry(Fruit(4120), None, key, made.grader, season.RECEIVED)
    if here:
        entry = replace(entry, draw_id=here.id, bin_id=here.bin_id)
    return samples.save_fruit(session, bench_sample(session, made.sample), entry).draw


def labels(session: Session, made: Bench) -> list[str]:
    return list(session.exec(select(Draw.label).where(Draw.sample_id == made.sample).order_by(col(Draw.number))))


def test_a_bin_without_fruit_is_passed_over_and_comes_round_again(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        assert [go_on(session, made) for _ in range(5)] == ["bin 1", "bin 2", "bin 3", "bin 1", "bin 2"]
        assert labels(session, made) == ["bin 2"]
        assert save(session, made, "one").name == "bin 2"
        assert [go_on(session, made) for _ in range(3)] == ["bin 3", "bin 1", "bin 3"]
        assert labels(session, made) == ["bin 2", "bin 3"]


def test_no_bin_is_left_once_all_have_fruit(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        for key in ("one", "two"):
            go_on(session, made)
            save(session, made, key)
        assert go_on(session, made) == "bin 3"
        with pytest.raises(NoBinLeftError) as left:
            go_on(session, made)
        assert left.value.only is not None
        assert left.value.only.name == "bin 3"
        save(session, made, "three")
        with pytest.raises(NoBinLeftError) as none:
            go_on(session, made)
        assert none.value.only is None


def test_a_bin_that_held_only_a_voided_fruit_was_drawn_from(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        draw = season.draw(session, made.sample, season.bins_of(session, made.consignment)[0])
        season.void(session, season.fruit(session, draw, 4120))
        assert [go_on(session, made) for _ in range(3)] == ["bin 2", "bin 3", "bin 2"]


def test_back_to_a_bin_that_fruit_came_from(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        bins = season.bins_of(session, made.consignment)
        go_on(session, made)
        first = save(session, made, "one")
        go_on(session, made)
        assert go_to_bin(session, bench_sample(session, made.sample), bins[0]) == first
        assert bench_sample(session, made.sample).draw == first
        assert save(session, made, "two") == first
        assert go_on(session, made) == "bin 2"
        assert go_to_bin(session, bench_sample(session, made.sample), bins[2]).bin_number == 3
        assert labels(session, made) == ["bin 1", "bin 3"]


def test_a_bin_of_another_consignment_is_none_of_ours(database: Database) -> None:
    made, other = bench(database), bench(database, number="1043")
    with database.writing() as session:
        foreign = season.bins_of(session, other.consignment)[0]
        with pytest.raises(MissingError):
            go_to_bin(session, bench_sample(session, made.sample), foreign)
        assert save(session, made, "one", OpenDraw(999, "bin 9", foreign, 9)).name == "bin 1"


def test_fruit_go_into_the_bin_their_form_names_when_somebody_else_went_on(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        here = next_draw(session, bench_sample(session, made.sample))
        assert go_on(session, made) == "bin 2"
        assert save(session, made, "one", here).name == "bin 1"
        assert labels(session, made) == ["bin 1"]


def test_the_named_bin_counts_also_where_the_moved_draw_has_fruit(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        here = next_draw(session, bench_sample(session, made.sample))
        go_on(session, made)
        assert save(session, made, "one").name == "bin 2"
        assert save(session, made, "two", here).name == "bin 1"
        assert labels(session, made) == ["bin 2", "bin 1"]


@pytest.mark.parametrize(
    ("question", "names"),
    [
        (Question.PACKED_TRAY, ["tray 1", "tray 1", "tray 2"]),
        (Question.TABLE, ["draw 1", "draw 1", "draw 2"]),
        (Question.REJECT_BELT, ["draw 1", "draw 1", "draw 2"]),
    ],
)
def test_other_questions_draw_without_bins(database: Database, question: Question, names: list[str]) -> None:
    made = bench(database)
    with database.writing() as session:
        sample = samples.start_sample(session, made.consignment, question, None, made.grader, season.RECEIVED)
        ours = made._replace(sample=sample.id or 0)
        found = [go_on(session, ours) for _ in range(2)]
        save(session, ours, "one")
        assert [*found, go_on(session, ours)] == names
