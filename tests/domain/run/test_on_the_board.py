"""Pace, samples due, and the hand-over note."""

from datetime import UTC
from fractions import Fraction

from shedgrade.domain.run import events as say
from shedgrade.domain.run.due import SampleRules, samples_due
from shedgrade.domain.run.events import Break, Event, Place, What
from shedgrade.domain.run.fold import fold
from shedgrade.domain.run.handover import hand_over
from shedgrade.domain.run.pace import bins_an_hour, done_about
from tests.support.runs import JUICE, at, cell, started

RULES = SampleRules(every_minutes=30, every_bins=5)
NAMES = {"I": "Class I", "juice": "Juice"}


def tipped(bins: int, minutes: float = 1) -> say.BinsTipped:
    return say.BinsTipped(at(minutes), 1, bins)


def pressing(happened: list[Event], minutes: float) -> list[str]:
    return [due.why for due in samples_due(fold(happened), RULES, at(minutes)) if due.now]


def test_ten_bins_in_two_hours_are_done_two_hours_later() -> None:
    state = fold([started(), tipped(10)])
    assert bins_an_hour(state, at(120)) == 5
    assert done_about(state, at(120)) == at(240)


def test_a_pause_does_not_slow_the_line() -> None:
    state = fold([started(), tipped(10), say.Paused(at(60)), say.Resumed(at(120))])
    assert bins_an_hour(state, at(180)) == 5
    assert bins_an_hour(fold([started(), tipped(10), say.Paused(at(60))]), at(180)) == 10


def test_nothing_is_said_before_anything_is_known_or_when_it_is_over() -> None:
    assert bins_an_hour(fold([started()]), at(60)) is None
    assert bins_an_hour(fold([started(), tipped(1)]), at(0)) is None
    assert done_about(fold([started(), tipped(20)]), at(60)) is None
    cleared = fold([started(), tipped(10), say.LineCleared(at(60))])
    assert (done_about(cleared, at(600)), bins_an_hour(cleared, at(600))) == (None, Fraction(10))


def test_a_sample_is_due_at_the_start_and_after_every_change_of_breaks() -> None:
    sample = say.SampleTaken(at(2), 10, 4_000)
    changed = say.BreaksChanged(at(3), (Break(1, 16, 4300),))
    assert pressing([started()], 1) == ["the run has started"]
    assert pressing([started(), sample], 2) == []
    assert pressing([started(), sample, changed], 4) == ["the breaks were changed"]
    assert pressing([started(), sample, say.TakenBack(at(3), 2, sample)], 4) == ["the run has started"]


def test_a_sample_is_due_by_minutes_by_bins_and_of_the_last_tray() -> None:
    sample = say.SampleTaken(at(2), 10, 4_000)
    by_minutes, by_bins = "one every 30\N{NARROW NO-BREAK SPACE}minutes", "one every 5 bins"
    assert pressing([started(), sample], 31.9) == []
    assert pressing([started(), sample], 32) == [by_minutes]
    assert pressing([started(), sample, tipped(4, 3)], 4) == []
    assert pressing([started(), sample, tipped(5, 3)], 4) == [by_bins]
    last: list[Event] = [started(), sample, tipped(20, 3)]
    assert "the last bin is tipped: sample the last tray" in pressing(last, 4)
    assert pressing([*last, say.SampleTaken(at(5), 10, 4_000)], 6) == []


def test_a_line_that_stands_asks_for_no_sample_and_a_rule_can_be_left_out() -> None:
    assert pressing([started(), say.Paused(at(1))], 50) == []
    none = SampleRules(at_start=False, after_breaks=False, every_minutes=None, last_tray=False)
    assert samples_due(fold([started(), tipped(20)]), none, at(500)) == ()
    (one,) = samples_due(fold([started()]), SampleRules(at_start=False, every_minutes=1), at(0))
    assert (one.why, one.at, one.now) == ("one every minute", at(1), False)


def test_the_note_says_what_the_next_shift_has_to_know() -> None:
    state = fold(
        [
            started(),
            say.StationTaken(at(1), 4, "Ada Thorne", "the sorting table"),
            say.SampleTaken(at(2), 10, 4_000),
            tipped(10, 3),
            say.TraysPacked(at(30), cell(), 120),
            say.TraysPacked(at(31), cell("I", 16, 18), 1),
            say.BreaksChanged(at(60), (Break(1, 16, 4300),), "trays too heavy"),
            say.SampleTaken(at(110), 10, 4_000),
            say.LooseWeighed(at(70), JUICE, 120_500),
            say.SharedBinUsed(at(71), 4),
        ]
    )
    rules = SampleRules(every_minutes=30)
    assert hand_over(state, rules, at(120), UTC, NAMES) == (
        "Packing 1042-1 since 06:00, with new breaks since 07:00 (trays too heavy): stretch 2.",
        "10 bins tipped, 10 left; 5 an hour, done about 10:00.",
        "121 trays packed: 120 of Class I 16, 1 of Class I 16+18.",
        "Weighed in: Juice 120.5\N{NARROW NO-BREAK SPACE}kg.",
        "1 outlet bin shared with other runs.",
        "Next sample at 08:20.",
        "Ada Thorne at the sorting table since 06:01.",
        "The line is not cleared.",
    )


def test_the_note_of_a_cleared_and_of_a_standing_line() -> None:
    left = (
        say.Left(What.LUGS, Place(say.Way.RERUN), net_g=1),
        say.Left(What.PART_TRAY, Place(say.Way.CARRIED_OUT), net_g=1),
        say.Left(What.LOOSE, JUICE, net_g=1),
    )
    cleared = hand_over(fold([started(), say.LineCleared(at(60), left)]), RULES, at(61), UTC, NAMES)
    assert cleared[-1] == (
        "The line was cleared at 07:00: lugs to re-run to a re-run, part tray to the next run, loose fruit to Juice."
    )
    standing = hand_over(fold([started(), tipped(1), say.Paused(at(60))]), RULES, at(61), UTC, NAMES)
    assert standing[-1] == "The line stands since 07:00."
    assert "No tray packed yet." in standing
