"""What packed trays weigh, said how it is known."""

from fractions import Fraction

from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Break, Event
from shedgrade.domain.run.fold import fold
from shedgrade.domain.run.packed import Known, packed
from tests.support.runs import at, cell, started

# Net weights of a constructed case (twelve 7 kg trays): mean 7021.6667 g, s 36.6193 g, one tray of twelve is 7060 g.
NETS = (7045, 7012, 6988, 7060, 7031, 6995, 7020, 7075, 6940, 7050, 7008, 7036)


def weighed(*nets: int, stretch: int = 1) -> list[Event]:
    return [say.TrayWeighed(at(5), cell(stretch=stretch), net + 600, 600) for net in nets]


def test_none_weighed_is_by_label() -> None:
    found = packed(fold([started(), say.TraysPacked(at(3), cell(), 60)]))
    assert (found.known, found.measured_g, found.by_label_g) == (Known.LABEL, 420_000, 420_000)
    assert (found.giveaway_g, found.giveaway, found.estimate, found.trays_by_label) == (None, None, None, 60)


def test_every_tray_weighed_has_no_range() -> None:
    found = packed(fold([started(), say.TraysPacked(at(3), cell(), 12), *weighed(*NETS)]))
    assert (found.known, found.measured_g, found.estimate) == (Known.WEIGHED, sum(NETS), None)
    assert (found.weighed, found.short, found.giveaway_g) == (12, 3, 260)


def test_some_weighed_is_an_estimate_with_n_and_range() -> None:
    found = packed(fold([started(), say.TraysPacked(at(3), cell(), 60), *weighed(*NETS)]))
    assert (found.known, found.measured_g, found.weighed) == (Known.ESTIMATED, 421_300, 12)
    (one,) = found.cells
    assert one.giveaway_g == Fraction(260, 12)
    estimate = found.estimate
    assert estimate is not None
    # 60 trays: t(0.975, 11) = 2.201 (NIST/SEMATECH e-Handbook, section 1.3.6.7.2, read in a copy) times
    # 36.6193 / sqrt(12) x sqrt(1 - 12 / 60) = 9.4550 g a tray, times 60: 1248.6 g either way.
    assert round(float(estimate.high or 0) - 421_300) == 1249
    assert round(421_300 - float(estimate.low or 0)) == 1249
    assert estimate.n_draws == 12


def test_one_weighed_tray_gives_no_range() -> None:
    found = packed(fold([started(), say.TraysPacked(at(3), cell(), 60), *weighed(7100)]))
    assert (found.known, found.measured_g, found.estimate) == (Known.ESTIMATED, 426_000, None)


def test_after_a_change_of_breaks_the_stretch_has_its_own_weights() -> None:
    happened: list[Event] = [
        started(),
        say.TraysPacked(at(3), cell(), 10),
        *weighed(7400, 7420),
        say.BreaksChanged(at(6), (Break(1, 16, 4300),)),
        say.TraysPacked(at(7), cell(stretch=2), 10),
    ]
    before = packed(fold(happened))
    assert [each.of_other_stretches for each in before.cells] == [False, True]
    assert (before.measured_g, before.weighed) == (2 * 74_100, 2)
    # The two stretches lean on the same two trays: how far off they may be adds up as it is.
    assert before.estimate is not None
    assert before.estimate.se is not None
    assert before.estimate.se == sum(each.estimate.se or 0 for each in before.cells if each.estimate)
    after = packed(fold([*happened, *weighed(7050, 7060, stretch=2)]))
    assert [each.measured_g for each in after.cells] == [74_100, 70_550]


def test_trays_by_label_are_added_as_they_are() -> None:
    found = packed(
        fold([started(), say.TraysPacked(at(3), cell(), 60), say.TraysPacked(at(3), cell("II"), 10), *weighed(*NETS)])
    )
    assert (found.known, found.measured_g, found.trays_by_label) == (Known.ESTIMATED, 491_300, 10)
    assert found.estimate is not None
    assert found.estimate.value == 491_300
    assert found.giveaway == Fraction(1_300, 420_000)
