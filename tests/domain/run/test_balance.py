"""The mass balance: a worked example, cases by hand, and that no fruit and no gram is lost by whatever happens."""

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as some

from shedgrade.domain.run import events as say
from shedgrade.domain.run.balance import (
    USUAL_CAUSES,
    MassBalance,
    SharedBin,
    balance,
    by_load,
    received_g,
    storage_loss_g,
)
from shedgrade.domain.run.events import Event, Kind, Load, Place, What
from shedgrade.domain.run.fold import fold, step
from shedgrade.domain.run.packed import packed
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.run.state import RunState
from shedgrade.domain.units import round_half_up
from tests.support.runs import JUICE, WASTE, at, cell, started


def weighed(class_id: str, net_g: int) -> say.TrayWeighed:
    return say.TrayWeighed(at(30), cell(class_id), net_g + 550, 550)


def test_the_worked_example() -> None:
    """20 bins, net 8 000 kg. 500 trays at 7.15 kg, 300 at 7.12 kg, label 7.0 kg; processing 1 750 kg, waste 420 kg.

    Made-up figures, worked by hand: packed 5 711 kg measured, 5 600 kg by label; unaccounted 119 kg (1.5 %), by label
    230 kg (2.9 %); pack-out 71.4 % and 70.0 %; giveaway 111 kg = 2.0 % of label.
    """
    state = fold(
        [
            started(),
            say.BinsTipped(at(1), 1, 20),
            say.TraysPacked(at(20), cell("premium"), 500),
            say.TraysPacked(at(20), cell("first"), 300),
            weighed("premium", 7150),
            weighed("first", 7120),
            say.LooseWeighed(at(50), Place(say.Way.OUTLET, "processing"), 1_750_000),
            say.LooseWeighed(at(50), WASTE, 420_000),
        ]
    )
    found = balance(state)
    assert (found.packed_g, found.by_label_g) == (5_711_000, 5_600_000)
    assert (found.unaccounted_g, found.unaccounted_by_label_g) == (119_000, 230_000)
    assert [round(float(each or 0) * 100, 1) for each in (found.unaccounted, found.unaccounted_by_label)] == [1.5, 2.9]
    assert [round(float(each or 0) * 100, 1) for each in (found.pack_out, found.pack_out_by_label)] == [71.4, 70.0]
    trays = packed(state)
    assert trays.giveaway_g == 111_000
    assert round(float(trays.giveaway or 0) * 100, 1) == 2.0
    assert (found.provisional, found.is_off(Fraction(2, 100)), found.is_off(Fraction(1, 100))) == ((), False, True)
    assert len(USUAL_CAUSES) > 5


def test_fruit_carried_put_through_again_and_sampled() -> None:
    state = fold(
        [
            started(),
            say.BinsTipped(at(1), 1, 2),  # 800 kg
            say.LooseWeighed(at(2), Place(say.Way.CARRIED_IN, run_id=6), 50_000),
            say.LooseWeighed(at(3), Place(say.Way.RERUN), 33_000),  # on neither side
            say.SampleTaken(at(4), 20, 9_000),
            say.SampleReturned(at(5), 15, 6_500),
            say.LooseWeighed(at(6), JUICE, 100_000),
            say.LineCleared(
                at(7),
                (
                    say.Left(What.LUGS, Place(say.Way.CARRIED_OUT), net_g=20_000),
                    say.Left(What.LOOSE, JUICE, net_g=1_000),
                ),
            ),
        ]
    )
    found = balance(state)
    assert (found.in_g, found.outlets, found.samples_g) == (850_000, {"juice": 101_000}, 2_500)
    assert (found.carried_out_g, found.rerun_g, found.unaccounted_g) == (20_000, 33_000, 726_500)
    assert found.provisional == ()


def test_bins_weighed_again_show_what_was_lost_in_storage() -> None:
    state = fold([started(), say.BinsTipped(at(1), 1, 4, 1_584_000), say.BinsTipped(at(2), 1, 1)])
    found = balance(state)
    assert (found.received_g, found.storage_loss_g, found.unaccounted_g) == (2_000_000, 16_000, 1_984_000)


def test_what_was_only_counted_stands_by_label_and_says_so() -> None:
    left = say.Left(What.PART_TRAY, Place(say.Way.CARRIED_OUT), fruit=4, tray_id=1, count=16)
    found = balance(fold([started(), say.LineCleared(at(1), (left,))]))
    assert found.carried_out_g == 1750  # 4 of 16 fruit of 7 kg
    assert "4 fruit left on the line were counted" in found.provisional[0]


def test_a_shared_bin_is_provisional_until_it_is_weighed() -> None:
    state = fold([started(), say.BinsTipped(at(1), 1, 1), say.SharedBinUsed(at(2), 4)])
    bin_ = SharedBin(4, "juice", Rule.BINS, {7: 1, 8: 2})
    waiting = balance(state, [bin_])
    assert (waiting.outlets_g, len(waiting.provisional)) == (0, 1)
    assert "by the bins that were tipped" in waiting.provisional[0]
    done = balance(state, [replace(bin_, net_g=100_000), SharedBin(5, "juice", Rule.BINS, {7: 1}, 5)])
    assert (done.outlets, done.provisional) == ({"juice": 33_333}, ())


def test_more_out_than_in_is_off_too() -> None:
    found = balance(fold([started(), say.BinsTipped(at(1), 1, 1), say.LooseWeighed(at(2), JUICE, 500_000)]))
    assert found.unaccounted_g == -100_000
    assert found.is_off(Fraction(2, 100))


def test_nothing_went_in() -> None:
    found = balance(fold([started()]))
    assert (found.unaccounted, found.pack_out, found.unaccounted_by_label, found.pack_out_by_label) == (None,) * 4
    assert not found.is_off(0)
    assert by_load(found, fold([started()])) == {}


TWO = (Load(1, "1042-1", 3, 1_000_000, 1), Load(2, "1043-1", 7, 2_500_001, 2))


@pytest.mark.parametrize(
    ("rule", "juice"),
    [
        # 1 of 3 bins of 1 000 000 g is 333 333 g; 2 of 7 bins of 2 500 001 g is 714 286 g.
        (Rule.NET, {1: 31_818, 2: 68_182}),
        (Rule.BINS, {1: 33_333, 2: 66_667}),
        (Rule.PARTS, {1: 33_333, 2: 66_667}),
    ],
)
def test_a_combined_run_is_shared_by_its_rule(rule: Rule, juice: dict[int, int]) -> None:
    state = fold(
        [
            started(*TWO, rule=rule),
            say.BinsTipped(at(1), 1, 1),
            say.BinsTipped(at(1), 2, 2),
            say.LooseWeighed(at(2), JUICE, 100_000),
        ]
    )
    parts = by_load(balance(state), state)
    assert {load_id: each.outlets_g for load_id, each in parts.items()} == juice
    assert {load_id: each.received_g for load_id, each in parts.items()} == {1: 333_333, 2: 714_286}


@given(some.integers(1, 10**7), some.integers(1, 40), some.data())
def test_over_all_runs_of_a_consignment_not_a_gram_of_it_is_lost(net_g: int, bins: int, data: some.DataObject) -> None:
    cuts = sorted(data.draw(some.lists(some.integers(0, bins), min_size=1, max_size=4)))
    tipped = {run: upto - below for run, (below, upto) in enumerate(zip([0, *cuts], cuts, strict=False), 1)}
    found = 0
    for run, mine in tipped.items():
        others = tuple((each, n) for each, n in tipped.items() if each != run)
        events: list[Event] = [started(Load(1, "a", bins, net_g, elsewhere=others), run_id=run)]
        events += [say.BinsTipped(at(1), 1, mine)] if mine else []
        found += received_g(fold(events), 1)
    whole = sum(tipped.values())
    assert found == net_g if whole == bins else abs(found - Fraction(net_g * whole, bins)) < 1


# ── whatever happens ──

places = some.sampled_from(
    [JUICE, WASTE, Place(say.Way.CARRIED_IN, run_id=6), Place(say.Way.CARRIED_OUT), Place(say.Way.RERUN)]
)
grams = some.integers(1, 900_000)
cells = some.builds(cell, some.sampled_from(["I", "II"]), some.sampled_from([14, 16, 18]), stretch=some.integers(1, 3))
mixed = some.builds(lambda stretch: cell("I", 16, 18, stretch=stretch), some.integers(1, 2))
amounts = some.one_of(
    some.builds(say.BinsTipped, some.just(at(1)), some.integers(1, 3), some.integers(1, 3), some.none() | grams),
    some.builds(say.TraysPacked, some.just(at(1)), cells | mixed, some.integers(1, 90)),
    some.builds(say.TrayWeighed, some.just(at(1)), cells, some.integers(6_000, 9_000), some.integers(0, 800)),
    some.builds(say.LooseWeighed, some.just(at(1)), places, grams),
    some.builds(say.SharedBinUsed, some.just(at(1)), some.integers(1, 2)),
    some.builds(say.SampleTaken, some.just(at(1)), some.integers(1, 20), some.integers(1, 9_000)),
    some.builds(say.SampleReturned, some.just(at(1)), some.integers(1, 20), some.integers(1, 9_000)),
)
left = some.builds(
    say.Left,
    some.sampled_from(What),
    some.sampled_from([JUICE, Place(say.Way.CARRIED_OUT), Place(say.Way.RERUN)]),
    some.integers(1, 15),
    some.none() | grams,
    some.just(1),
    some.sampled_from([14, 16]),
)
others = some.one_of(
    some.builds(say.Paused, some.just(at(2))),
    some.builds(say.Resumed, some.just(at(3))),
    some.builds(
        say.BreaksChanged, some.just(at(2)), some.integers(3000, 5000).map(lambda edge: (say.Break(1, 16, edge),))
    ),
    some.builds(say.LineCleared, some.just(at(4)), some.lists(left, max_size=3).map(tuple)),
    some.builds(say.TakenBack, some.just(at(5)), some.integers(1, 9), amounts),
    some.builds(say.Finished, some.just(at(6))),
)
sequences = some.lists(amounts | others, max_size=40)
shared = some.lists(
    some.builds(
        SharedBin,
        some.integers(1, 2),
        some.just("juice"),
        some.sampled_from([Rule.NET, Rule.BINS]),
        some.fixed_dictionaries({7: some.integers(0, 9), 8: some.integers(0, 9)}),
        some.none() | grams,
    ),
    max_size=2,
    unique_by=lambda each: each.id,
)
THREE = (*TWO, Load(3, "1044-1", 5, 777_777, 3))


def accepted(happened: Iterable[Event], rule: Rule) -> tuple[RunState, list[Event]]:
    """The run after what of it could be, and what that was; a refused event changed nothing."""
    begun = started(*THREE, rule=rule)
    taken: list[Event] = [begun]
    state = fold(taken)
    for event in happened:
        was = state
        try:
            state = step(state, event)
        except RefusedError:
            assert state is was
        else:
            taken.append(event)
    return state, taken


def signed(happened: Iterable[Event]) -> list[tuple[int, Event]]:
    """Every amount with its sign, in a second way that knows nothing of tallies."""
    return [(-1, event.what) if isinstance(event, say.TakenBack) else (1, event) for event in happened]


@given(sequences, shared, some.sampled_from(Rule))
def test_no_fruit_and_no_gram_is_made_or_lost(happened: list[Event], bins: list[SharedBin], rule: Rule) -> None:
    state, taken = accepted(happened, rule)
    ledger = signed(taken)

    def grams_of(*ways: say.Way) -> int:
        return sum(
            sign * each.net_g for sign, each in ledger if isinstance(each, say.LooseWeighed) and each.place.way in ways
        )

    assert state.trays == sum(sign * each.trays for sign, each in ledger if isinstance(each, say.TraysPacked))
    assert state.bins_tipped == sum(sign * each.bins for sign, each in ledger if isinstance(each, say.BinsTipped))
    assert state.not_returned.fruit == sum(
        sign * (each.fruit if isinstance(each, say.SampleTaken) else -each.fruit)
        for sign, each in ledger
        if isinstance(each, say.SampleTaken | say.SampleReturned)
    )
    found = balance(state, bins)
    mine = [each for each in bins if each.id in state.shared_bins]
    assert found.carried_in_g == grams_of(say.Way.CARRIED_IN)
    assert found.rerun_g == grams_of(say.Way.RERUN)
    on_line = {True: 0, False: 0}
    for each in state.left:
        net_g = each.net_g if each.net_g is not None else round_half_up(Fraction(each.fruit * 7000, each.count))
        on_line[each.goes == JUICE] += net_g
    assert found.outlets_g == grams_of(say.Way.OUTLET) + on_line[True] + sum(each.share_of(7) or 0 for each in mine)
    assert found.carried_out_g == grams_of(say.Way.CARRIED_OUT) + on_line[False]
    assert found.in_g == (
        found.packed_g
        + found.outlets_g
        + found.storage_loss_g
        + found.samples_g
        + found.carried_out_g
        + found.unaccounted_g
    )
    assert found.packed_g == sum(each.measured_g for each in packed(state).cells)


@given(sequences, some.sampled_from(Rule))
def test_the_parts_of_a_combined_run_add_up_to_the_gram(happened: list[Event], rule: Rule) -> None:
    state, _ = accepted(happened, rule)
    whole = balance(state)
    parts = by_load(whole, state)
    if not state.bins_tipped:
        assert parts == {}
        return
    for line in ("received_g", "in_g", "packed_g", "by_label_g", "outlets_g", "storage_loss_g", "samples_g"):
        assert sum(getattr(each, line) for each in parts.values()) == getattr(whole, line)
    assert sum(each.unaccounted_g for each in parts.values()) == whole.unaccounted_g
    assert sum(each.carried_out_g for each in parts.values()) == whole.carried_out_g


@given(some.lists(amounts, max_size=25))
def test_all_taken_back_in_turn_leaves_nothing(happened: list[Event]) -> None:
    _, taken = accepted(happened, Rule.NET)
    back = [say.TakenBack(at(9), 1, each) for each in reversed(taken[1:]) if not isinstance(each, say.Started)]  # type: ignore[arg-type]
    assert fold([*taken, *back]) == fold(taken[:1])


@given(sequences)
def test_each_shared_bin_is_shared_out_whole(happened: list[Event]) -> None:
    state, _ = accepted(happened, Rule.NET)
    bin_ = SharedBin(1, "juice", Rule.NET, {7: balance(state).received_g, 8: 123_457, 9: 1}, 777_777)
    assert sum(bin_.share_of(run) or 0 for run in (7, 8, 9)) == 777_777
    assert all(isinstance(storage_loss_g(state, load.id), int) for load in THREE)


def test_a_sizing_pass_hands_on_what_it_sized() -> None:
    group = Place(say.Way.SIZED, "300–350 g")
    state = fold([started(kind=Kind.SIZING), say.BinsTipped(at(1), 1, 1), say.LooseWeighed(at(2), group, 399_000)])
    assert isinstance(balance(state), MassBalance)
    assert (balance(state).carried_out_g, balance(state).unaccounted_g) == (399_000, 1_000)
