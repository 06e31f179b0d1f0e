"""Rules of the shed: what may be typed, how a value is said, and the same day of a later year."""

from datetime import date

import pytest

from shedgrade.domain.entry import EntryError
from shedgrade.domain.settings import KEEPING_YEARS, RULES, SHED_NAME, AnyRule, NumberRule, years_after

NUMBERS = [rule for rule in RULES.values() if isinstance(rule, NumberRule)]


@pytest.mark.parametrize("rule", NUMBERS, ids=lambda rule: rule.key)
def test_a_default_is_within_its_bounds_and_both_bounds_can_be_typed(rule: NumberRule) -> None:
    assert [rule.parse(str(value)) for value in (rule.least, rule.default, rule.most)] == [
        rule.least,
        rule.default,
        rule.most,
    ]
    for past in (rule.least - 1, rule.most + 1):
        with pytest.raises(EntryError):
            rule.parse(str(past))


def test_a_name_is_what_was_typed_up_to_its_length() -> None:
    assert SHED_NAME.parse("  Ninth   Gate ") == "Ninth Gate"
    assert SHED_NAME.parse("x" * SHED_NAME.longest) == "x" * SHED_NAME.longest
    with pytest.raises(ValueError, match="That is 81 letters long; at most 80 fit"):
        SHED_NAME.parse("x" * (SHED_NAME.longest + 1))


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_what_is_stored_is_read_as_it_was_meant(rule: AnyRule) -> None:
    assert rule.read(str(rule.default)) == rule.default
    assert rule.say_stored(str(rule.default)) == rule.say_default()


def test_one_year_is_no_years() -> None:
    assert [KEEPING_YEARS.say(value) for value in (1, 6)] == ["1\u202fyear", "6\u202fyears"]


@pytest.mark.parametrize(
    ("day", "years", "later"),
    [
        (date(2026, 1, 14), 6, date(2032, 1, 14)),
        (date(2028, 2, 29), 4, date(2032, 2, 29)),
        (date(2028, 2, 29), 6, date(2034, 3, 1)),
        (date(9990, 5, 1), 99, date(9999, 5, 1)),
    ],
)
def test_the_same_day_of_a_later_year(day: date, years: int, later: date) -> None:
    assert years_after(day, years) == later
