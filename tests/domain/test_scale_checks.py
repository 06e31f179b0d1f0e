"""Test masses in the morning, and what a bad check puts in doubt."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.scale_check_words import say_doubt, say_reading, say_scale_check, say_trust
from shedgrade.domain.scale_checks import (
    Doubt,
    MassReading,
    ScaleCheck,
    Trust,
    Weighing,
    doubts,
    in_doubt,
    not_checked_since,
    trust,
)
from shedgrade.domain.units import THIN

SIX = datetime(2026, 1, 12, 6, tzinfo=UTC)


def at(hours: float) -> datetime:
    return SIX + timedelta(hours=hours)


def checked(hours: float, error_g: int = 0, scale: str = "Scale 1") -> ScaleCheck:
    return ScaleCheck(scale, at(hours), MassReading(1_000, 1_000, 5), MassReading(10_000, 10_000 + error_g, 10))


def weighed(number: int, hours: float, scale: str = "Scale 1") -> Weighing:
    return Weighing(number, scale, at(hours))


@pytest.mark.parametrize(
    ("read_g", "error_g", "good"),
    [(1_000, 0, True), (1_005, 5, True), (995, -5, True), (1_006, 6, False), (994, -6, False)],
)
def test_a_reading_is_good_within_what_is_allowed_either_way(read_g: int, error_g: int, good: bool) -> None:
    reading = MassReading(1_000, read_g, 5)
    assert reading.error_g == error_g
    assert reading.is_good is good


def test_a_scale_is_good_when_both_masses_are() -> None:
    good, bad = MassReading(1_000, 1_001, 5), MassReading(10_000, 10_020, 10)
    assert ScaleCheck("Scale 1", SIX, good, MassReading(10_000, 9_990, 10)).is_good
    assert not ScaleCheck("Scale 1", SIX, good, bad).is_good
    assert not ScaleCheck("Scale 1", SIX, MassReading(1_000, 1_006, 5), MassReading(10_000, 10_000, 10)).is_good


def test_what_no_check_is_is_refused() -> None:
    with pytest.raises(ValueError, match="more than 0 g"):
        MassReading(0, 0, 5)
    with pytest.raises(ValueError, match="0 g or more"):
        MassReading(1_000, 1_000, -1)
    with pytest.raises(ValueError, match="less than the heavy one"):
        ScaleCheck("Scale 1", SIX, MassReading(10_000, 10_000, 5), MassReading(1_000, 1_000, 5))


def test_in_doubt_is_all_from_the_last_good_check_to_the_next() -> None:
    checks = [checked(0), checked(8, 30), checked(9)]
    assert doubts(checks) == (Doubt("Scale 1", at(0), at(9), (checks[1],)),)
    weighings = [weighed(number, hours) for number, hours in enumerate([-1, 0, 1, 7.9, 8, 8.5, 9, 10])]
    assert [each.id for each in in_doubt(checks, weighings)] == [2, 3, 4, 5]


def test_bad_checks_in_a_row_are_one_doubt() -> None:
    checks = [checked(0), checked(4, 20), checked(5, -20), checked(6), checked(7), checked(8, 20), checked(9)]
    found = doubts(checks)
    assert [(each.after, each.before, len(each.bad)) for each in found] == [(at(0), at(6), 2), (at(7), at(9), 1)]


def test_a_doubt_without_a_good_check_before_or_since_is_open_at_that_end() -> None:
    (never_good,) = doubts([checked(0, 20)])
    assert (never_good.after, never_good.before) == (None, None)
    assert never_good.covers(weighed(1, -1_000))
    assert never_good.covers(weighed(2, 1_000))
    (not_yet,) = doubts([checked(0), checked(8, 20)])
    assert (not_yet.after, not_yet.before) == (at(0), None)


def test_a_scale_put_right_within_the_minute_is_good_from_then() -> None:
    (doubt,) = doubts([checked(0), checked(8, 20), checked(8)])
    assert doubt.covers(weighed(1, 7.9))
    assert not doubt.covers(weighed(2, 8.1))


def test_another_scale_is_no_matter() -> None:
    checks = [checked(0), checked(8, 30), checked(0, scale="Scale 2"), checked(9, scale="Scale 2")]
    assert [each.id for each in in_doubt(checks, [weighed(1, 3), weighed(2, 3, "Scale 2")])] == [1]


@pytest.mark.parametrize(
    ("hours", "known"),
    [(-1, Trust.UNCHECKED), (0, Trust.GOOD), (1, Trust.GOOD), (5, Trust.DOUBT), (8, Trust.GOOD), (9, Trust.OPEN)],
)
def test_how_far_a_weighing_can_be_trusted(hours: float, known: Trust) -> None:
    checks = [checked(0), checked(4), checked(6, 30), checked(8)]
    assert trust(checks, weighed(1, hours)) is known


def test_of_a_scale_without_any_check_nothing_is_known() -> None:
    assert trust([checked(0, scale="Scale 2")], weighed(1, 3)) is Trust.UNCHECKED


def test_scales_not_found_good_since_the_morning() -> None:
    checks = [checked(-10), checked(1, scale="Scale 2"), checked(1, 30, "Scale 3"), checked(2, scale="Scale 3")]
    checks.append(checked(3, 30, "Scale 4"))
    assert not_checked_since(["Scale 1", "Scale 2", "Scale 3", "Scale 4"], checks, SIX) == ("Scale 1", "Scale 4")


@given(
    st.lists(st.tuples(st.integers(0, 30), st.booleans()), unique_by=lambda each: each[0], max_size=12),
    st.integers(-1, 31),
    st.randoms(),
)
def test_doubt_is_a_bad_check_among_those_beside(checks: list[tuple[int, bool]], when: int, shuffled: object) -> None:
    """Said another way: the last check before, the first after and one at that moment; a bad one among them is doubt,
    unless that moment's own is good."""
    found = trust([checked(hour, 0 if good else 30) for hour, good in checks], weighed(1, when))
    known = dict(checks)
    before = max((hour for hour in known if hour < when), default=None)
    after = min((hour for hour in known if hour > when), default=None)
    beside = [known[hour] for hour in ([when] if when in known else [before, after]) if hour is not None]
    assert (found is Trust.DOUBT) is (not all(beside))


def test_a_check_in_words() -> None:
    check = ScaleCheck("Scale 1", SIX, MassReading(1_000, 1_000, 5), MassReading(10_000, 9_988, 10))
    said = say_scale_check(check).replace(THIN, " ")
    assert said == (
        "Scale 1 is not good: 1 kg read as 1 kg, just right; "
        "10 kg read as 9.988 kg, 12 g too little, more than the 10 g allowed."
    )
    assert say_reading(MassReading(200, 201, 5)).replace(THIN, " ") == "200 g read as 201 g, 1 g too much"


@pytest.mark.parametrize(
    ("checks", "weighings", "words"),
    [
        (
            [checked(0), checked(8, 30), checked(9)],
            14,
            "14 weighings after 06:00 and before 15:00 are in doubt: weigh them again.",
        ),
        (
            [checked(0), checked(8, 30)],
            1,
            "1 weighing after 06:00 and until it is found good again is in doubt: weigh it again.",
        ),
        (
            [checked(8, 30), checked(9)],
            0,
            "Nothing is kept as weighed on it before it was ever found good and before 15:00.",
        ),
    ],
)
def test_a_doubt_in_words(checks: list[ScaleCheck], weighings: int, words: str) -> None:
    (doubt,) = doubts(checks)
    said = say_doubt(doubt, weighings, lambda moment: f"{moment:%H:%M}").replace(THIN, " ")
    assert said == f"Scale 1: found off, 10 kg read as 10.03 kg, 30 g too much, more than the 10 g allowed. {words}"


def test_every_trust_has_its_words() -> None:
    assert len({say_trust(each) for each in Trust}) == len(Trust)
