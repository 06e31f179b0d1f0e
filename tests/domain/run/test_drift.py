"""Drift of the class mix: the chart against a published one, its widening, and each rule by hand."""

from datetime import timedelta

import pytest

from shedgrade.domain.run.drift import Chart, Period, chart_of, drift_of, periods_of
from tests.support.runs import SIX, at

# Defectives in 30 samples of 50: Montgomery, Introduction to Statistical Quality Control; worked in the vignette of the
# R package qcc 3.0 and on page 6.3.3.2 of the NIST/SEMATECH e-Handbook (the same mean).
FOUND = (12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6)


def periods(*found: int, counted: int = 50) -> list[Period]:
    return [Period(at(30 * place), counted, number) for place, number in enumerate(found)]


def test_the_plain_chart_is_the_published_one() -> None:
    plain = chart_of(periods(*FOUND), widened=False)
    assert plain.centre == pytest.approx(0.2313333, abs=5e-8)
    assert plain.deviation(50) == pytest.approx(0.05963526, abs=5e-9)
    assert list(plain.limits(50)) == pytest.approx([0.05242755, 0.4102391], abs=5e-8)
    low, high = plain.limits(50)
    outside = [number for number, each in enumerate(periods(*FOUND), 1) if not low <= each.share <= high]
    assert outside == [15, 23]


def test_without_the_two_outside_the_limits_are_the_published_ones() -> None:
    kept = [each for number, each in enumerate(periods(*FOUND), 1) if number not in {15, 23}]
    plain = chart_of(kept, widened=False)
    assert [plain.centre, plain.deviation(50)] == pytest.approx([0.215, 0.05809905], abs=5e-9)
    assert list(plain.limits(50)) == pytest.approx([0.04070284, 0.3892972], abs=5e-8)


def test_limits_are_never_narrower_than_counting_and_widen_with_the_spread() -> None:
    even, apart = periods(10, 10, 10, 10), periods(8, 12, 8, 12)
    assert chart_of(even).spread == 1
    # By hand: p 0.2, sd 0.0565685; shares 0.16 and 0.24 lie 0.707107 sd off, so each step is 1.41421; / 1.128.
    assert chart_of(apart).spread == pytest.approx(1.25374, abs=1e-5)
    assert chart_of(apart).limits(50)[1] == pytest.approx(0.412765, abs=1e-5)


@pytest.mark.parametrize(
    ("found", "since", "up", "rule"),
    [
        ((10, 10, 10, 19), 3, True, "one half hour outside the limits"),
        ((10, 10, 19, 19), 2, True, "one half hour outside the limits"),
        ((10, 16, 10, 16), 1, True, "two of three half hours far out on the same side"),
        ((10, 10, 1, 1), 2, False, "one half hour outside the limits"),
        ((9, *[11] * 8), 1, True, "eight half hours in a row on the same side"),
        ((9, *[11] * 10), 1, True, "eight half hours in a row on the same side"),
    ],
)
def test_each_rule_says_since_when(found: tuple[int, ...], since: int, up: bool, rule: str) -> None:
    # Chart of 0.2 with 50 counted: sd 0.0566, so 16 is 2.12 sd up, 19 is 3.18, 1 is 3.18 down.
    drift = drift_of(Chart(0.2), periods(*found))
    assert drift is not None
    assert (drift.since, drift.up, drift.rule) == (at(30 * since), up, rule)


@pytest.mark.parametrize("found", [(), (10, 10), (10, 19, 10), (16, 10, 10, 16), (11,) * 7])
def test_what_looks_like_the_base_is_no_drift(found: tuple[int, ...]) -> None:
    assert drift_of(Chart(0.2), periods(*found)) is None


def test_a_base_of_none_shows_the_first_that_comes() -> None:
    chart = chart_of(periods(0, 0, 0, 0))
    assert drift_of(chart, periods(0)) is None
    drift = drift_of(chart, periods(0, 1))
    assert drift is not None
    assert drift.since == at(30)


def test_only_half_hours_that_are_over_and_hold_enough_are_judged() -> None:
    mix = {SIX: {"I": 20, "II": 5}, at(30): {"I": 3}, at(60): {"I": 12, "II": 8}}
    found = periods_of(mix, "II".__eq__, at(60) + timedelta(minutes=29))
    assert found == (Period(SIX, 25, 5),)
    assert periods_of(mix, "II".__eq__, at(90))[-1] == Period(at(60), 20, 8)
    with pytest.raises(ValueError, match="something counted"):
        chart_of(())
