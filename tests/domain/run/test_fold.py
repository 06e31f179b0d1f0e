"""What a run comes to, event by event; and what cannot be, each with its sentence."""

from dataclasses import replace
from datetime import timedelta

import pytest

from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Amount, Break, BreaksChanged, Event, Kind, Load, Place, What
from shedgrade.domain.run.fold import fold, step
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.shares import Rule
from tests.support.runs import BREAKS, JUICE, TRAY, at, cell, started

TIPPED = say.BinsTipped(at(5), 1, 4)
PACKED = say.TraysPacked(at(10), cell(), 30)
CLEARED = say.LineCleared(at(60))
NEW_BREAKS = (Break(1, 14, 4950), Break(1, 16, 4300))


def test_bins_are_tipped_and_left() -> None:
    state = fold([started(), TIPPED, say.BinsTipped(at(20), 1, 2, 790_000)])
    assert (state.bins_tipped, state.bins_left) == (6, 14)
    assert (state.tipped[1].weighed_bins, state.tipped[1].weighed_g) == (2, 790_000)


def test_bins_that_another_run_tipped_are_not_left() -> None:
    state = fold([started(Load(1, "1042-1", 20, 8_000_000, elsewhere=((3, 12),))), TIPPED])
    assert (state.bins_tipped, state.bins_left) == (4, 4)
    with pytest.raises(RefusedError, match=r"Of 1042-1 4 bins are left to tip\."):
        step(state, say.BinsTipped(at(20), 1, 5))


def test_trays_of_another_stretch_are_not_mixed_up() -> None:
    state = fold(
        [
            started(),
            TIPPED,
            PACKED,
            BreaksChanged(at(15), NEW_BREAKS, "trays too heavy"),
            say.TraysPacked(at(20), cell(stretch=2), 5),
            say.TraysPacked(at(21), cell(), 1),  # tapped late: closed before the breaks were changed
        ]
    )
    assert {key.stretch: tally.trays for key, tally in state.cells.items()} == {1: 31, 2: 5}
    assert state.trays_by_count() == {("I", TRAY.id, (16,)): 36}
    assert (state.stretch.number, state.stretch.breaks, state.stretch.began) == (2, NEW_BREAKS, at(15))


def test_what_is_taken_back_is_as_if_it_had_never_been() -> None:
    before = fold([started(), TIPPED, PACKED])
    amounts: list[Amount] = [
        say.BinsTipped(at(20), 1, 2, 700_000),
        say.TraysPacked(at(20), cell("II", 18), 3),
        say.TrayWeighed(at(20), cell(), 7600, 500),
        say.LooseWeighed(at(20), JUICE, 90_000),
        say.SharedBinUsed(at(20), 4),
        say.SampleTaken(at(20), 10, 4000),
    ]
    for number, what in enumerate(amounts, start=4):
        assert step(step(before, what), say.TakenBack(at(30), number, what)) == before


def test_some_trays_of_an_entry_are_taken_back() -> None:
    state = fold([started(), PACKED, say.TakenBack(at(12), 2, replace(PACKED, trays=3))])
    assert state.trays == 27


def test_mixed_counts_stand_apart() -> None:
    state = fold([started(), PACKED, say.TraysPacked(at(11), cell("I", 16, 18))])
    assert state.trays_by_count() == {("I", 1, (16,)): 30, ("I", 1, (16, 18)): 1}


def test_a_pause_is_not_worked_and_a_finish_ends_it() -> None:
    happened: list[Event] = [started(), TIPPED, say.Paused(at(10)), say.Resumed(at(25)), CLEARED]
    assert fold(happened).paused == timedelta(minutes=15)
    ended = fold([*happened, say.Paused(at(61)), say.Finished(at(70))])
    assert (ended.paused, ended.paused_since) == (timedelta(minutes=24), None)


def test_who_stood_where_is_kept() -> None:
    state = fold(
        [
            started(),
            say.StationTaken(at(1), 4, "Ada Thorne", "sorting table"),
            say.StationTaken(at(2), 5, "Ben Ash", "bin tip"),
            say.StationLeft(at(30), 4, "sorting table"),
            CLEARED,
            say.Finished(at(90)),
        ]
    )
    assert [(each.person, each.since, each.until) for each in state.stations] == [
        ("Ada Thorne", at(1), at(30)),
        ("Ben Ash", at(2), at(90)),
    ]


def test_bins_tipped_after_the_line_was_cleared_are_on_it() -> None:
    left = say.Left(What.LUGS, Place(say.Way.RERUN), net_g=40_000)
    cleared = fold([started(), TIPPED, say.LineCleared(at(60), (left,))])
    assert (cleared.cleared_at, cleared.left) == (at(60), (left,))
    again = step(cleared, say.BinsTipped(at(61), 1, 1))
    assert (again.cleared_at, again.left) == (None, ())


def test_a_sizing_pass_fills_bins() -> None:
    state = fold([started(kind=Kind.SIZING), TIPPED, say.LooseWeighed(at(9), Place(say.Way.SIZED, "300–350 g"), 9)])
    assert state.loose_g(say.Way.SIZED) == 9
    with pytest.raises(RefusedError, match="fills bins, not trays"):
        step(state, PACKED)


IMPOSSIBLE: list[tuple[list[Event], str]] = [
    ([], "has not started"),
    ([PACKED], "has not started"),
    ([started(), started()], "has started already"),
    ([replace(started(), loads=())], "at least one consignment"),
    ([started(Load(1, "a", 1, 1), Load(1, "a", 1, 1))], "named twice"),
    ([replace(started(), trays=(), breaks=())], "at least one tray type"),
    ([started(Load(1, "a", 1, 1), rule=Rule.PARTS)], "which part of the run is its own"),
    ([replace(started(), breaks=(Break(9, 16, 1),))], "does not pack"),
    ([replace(started(), breaks=(Break(1, 16, 1), Break(1, 16, 2)))], "one break"),
    ([replace(started(), breaks=(Break(1, 16, 0),))], "above nought"),
    ([replace(started(), breaks=(Break(1, 16, 4000), Break(1, 18, 4000)))], r"its break is below 400\Wg"),
    ([started(), say.Finished(at(1))], "Clear the line first"),
    ([started(), CLEARED, say.Finished(at(61)), PACKED], "is finished"),
    ([started(), replace(PACKED, at=at(-1))], "before the run started"),
    ([started(), replace(TIPPED, load_id=2)], "not in the run"),
    ([started(), replace(TIPPED, bins=0)], "at least one bin"),
    ([started(), replace(TIPPED, net_g=0)], "at least one bin"),
    ([started(), replace(TIPPED, bins=21)], "20 bins are left"),
    ([started(), replace(TIPPED, bins=20), TIPPED], "no bins are left"),
    ([started(), say.Paused(at(1)), TIPPED], "The line is paused"),
    ([started(), say.Paused(at(1)), say.Paused(at(2))], "paused already"),
    ([started(), say.Resumed(at(1))], "not paused"),
    ([started(), say.Paused(at(5)), say.Resumed(at(4))], "before the line was paused"),
    ([started(), BreaksChanged(at(1), BREAKS)], "already in force"),
    ([started(), replace(PACKED, trays=0)], "at least one tray"),
    ([started(), replace(PACKED, cell=cell(stretch=2))], "have not been in force"),
    ([started(), replace(PACKED, cell=replace(cell(), tray_id=2))], "does not pack this tray type"),
    ([started(), replace(PACKED, cell=cell("I", 18, 16))], "smallest first"),
    ([started(), replace(PACKED, cell=cell(""))], "Say the class"),
    ([started(), PACKED, say.TakenBack(at(12), 2, replace(PACKED, trays=31))], "than were packed"),
    ([started(), say.TakenBack(at(12), 2, TIPPED)], "than was entered"),
    ([started(), say.TakenBack(at(12), 2, say.LooseWeighed(at(9), JUICE, 9))], "than was entered"),
    ([started(), say.TakenBack(at(12), 2, say.TrayWeighed(at(9), cell(), 9, 1))], "than was entered"),
    ([started(), say.TakenBack(at(12), 2, say.SharedBinUsed(at(9), 1))], "than was entered"),
    ([started(), say.TrayWeighed(at(9), cell(), 500, 500)], "check both weights"),
    ([started(), say.LooseWeighed(at(9), JUICE, 0)], "above 0 g"),
    ([started(), say.LooseWeighed(at(9), Place(say.Way.OUTLET), 9)], "where the fruit went"),
    ([started(), say.LooseWeighed(at(9), Place(say.Way.OUTLET, "the dog"), 9)], "where the fruit went"),
    ([replace(started(), kind=Kind.SIZING), say.LooseWeighed(at(9), Place(say.Way.SIZED), 9)], "which weight group"),
    ([started(), replace(PACKED, cell=cell("I", 17))], "is packed in counts 14, 16, 18"),
    ([started(), replace(PACKED, cell=cell("III"))], "Say the class"),
    (
        [started(), say.LineCleared(at(1), (say.Left(What.LUGS, Place(say.Way.OUTLET), net_g=5),))],
        "where the fruit went",
    ),
    ([started(), say.LooseWeighed(at(9), Place(say.Way.SIZED, "a"), 9)], "Only a sizing pass"),
    ([started(), say.SampleTaken(at(9), 0, 100)], "how many fruit"),
    ([started(), say.SampleReturned(at(9), 1, 100)], "than was taken from it"),
    (
        [
            started(),
            say.SampleTaken(at(9), 2, 800),
            say.SampleReturned(at(10), 1, 400),
            say.TakenBack(at(11), 2, say.SampleTaken(at(9), 2, 800)),
        ],
        "than was taken from it",
    ),
    ([started(), say.StationTaken(at(1), 4, "Ada", " ")], "which station"),
    ([started(), say.StationTaken(at(1), 4, "Ada", "tip"), say.StationTaken(at(2), 4, "Ada", "tip")], "already"),
    ([started(), say.StationLeft(at(2), 4, "tip")], "do not stand"),
    ([started(), say.StationTaken(at(3), 4, "Ada", "tip"), say.StationLeft(at(2), 4, "tip")], "before they came"),
    ([started(), say.LineCleared(at(1), (say.Left(What.LOOSE, JUICE, fruit=3),))], "Weigh the loose fruit"),
    ([started(), say.LineCleared(at(1), (say.Left(What.LUGS, JUICE, net_g=0),))], "above 0 g"),
    (
        [started(), say.LineCleared(at(1), (say.Left(What.LUGS, Place(say.Way.CARRIED_IN), net_g=5),))],
        "where what is left goes",
    ),
]


@pytest.mark.parametrize(("happened", "sentence"), IMPOSSIBLE, ids=[sentence for _, sentence in IMPOSSIBLE])
def test_what_cannot_be_is_refused_in_a_sentence(happened: list[Event], sentence: str) -> None:
    with pytest.raises(RefusedError, match=sentence) as refused:
        fold(happened)
    assert str(refused.value).endswith(".")
