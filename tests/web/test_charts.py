"""The geometry of pictures: what is drawn where, and that nothing drawn says more than was found."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.bound import Bound
from shedgrade.domain.sampling.estimate import Draw, ratio
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec import library
from shedgrade.domain.spec.scale import Band, Rounding, Scale
from shedgrade.domain.trays.counts import TrayType, count_bands, count_for
from shedgrade.web import ranges
from shedgrade.web import size_chart as drawn
from shedgrade.web.charts import bar_row, hundred_dots
from shedgrade.web.not_judged import not_judged
from shedgrade.web.size_chart import size_chart
from shedgrade.web.weight_chart import weight_spread

TRAY = TrayType("1", "7 kg tray", 7000, (14, 16, 18, 20), heaviest_dg=6000)
SOURCE = Source("a table", "1", "", Mark.READ)


def scale(*bands: str, rounding: Rounding = Rounding.NONE) -> Scale:
    named = (Band(name, Bound.parse(to), SOURCE) for name, to in zip("ABC", bands, strict=False))
    return Scale(tuple(named), rounding, SOURCE)


def test_a_bar_and_its_range_are_percents_of_the_width() -> None:
    row = bar_row("Class I", ratio([Draw(6, 10, 10), Draw(4, 10, 10)], share=True), 2)
    assert (row.bar, row.position, row.share) == (50.0, 2, "50\u202f%")
    assert row.low is not None
    assert row.high is not None
    assert 0 <= row.low < 50 < row.high <= 100


def test_a_bar_without_a_range_draws_none() -> None:
    row = bar_row("Class I", ratio([Draw(6, 10, 10)], share=True))
    assert (row.low, row.high, row.range) == (None, None, "")


def test_dots_are_sure_up_to_the_lower_end_and_unsure_up_to_the_upper() -> None:
    estimate = ratio([Draw(y, 10, 10) for y in (7, 8, 6, 7, 8)], share=True)
    dots = hundred_dots("d", "t", "b", "packed", estimate)
    assert dots is not None
    assert ranges.share(estimate).range.split("\N{NO-BREAK SPACE}")[0] == str(dots.sure)
    assert ranges.share(estimate).range.endswith(f"{dots.sure + dots.unsure}\u202f%")


def test_without_a_range_no_dot_is_sure() -> None:
    assert hundred_dots("d", "t", "b", "packed", ratio([Draw(6, 10, 10)], share=True)) is None


@given(st.lists(st.integers(1500, 9000), min_size=1, max_size=80))
def test_every_fruit_is_drawn_once_in_the_band_of_its_count(weights: list[int]) -> None:
    chart = weight_spread("w", "t", "b", weights, count_bands(TRAY))
    shares = {band.word: band.share for band in chart.bands}
    for count in TRAY.counts:
        found = sum(count_for(TRAY, weight).count == count for weight in weights)
        expected = f"{int(Fraction(found * 100, len(weights)) + Fraction(1, 2))}\u202f%"
        assert shares.get(f"{count}s", "0\u202f%") == expected
    drawn = sum(int(bar.words) for bar in chart.bars if bar.words)
    unnamed = sum(not bar.words for bar in chart.bars)
    assert drawn + unnamed <= len(weights) if unnamed else drawn == len(weights)


@given(st.lists(st.integers(1500, 9000), min_size=1, max_size=80))
def test_no_bar_crosses_the_edge_of_a_count_or_of_the_picture(weights: list[int]) -> None:
    chart = weight_spread("w", "t", "b", weights, count_bands(TRAY))
    edges = [edge for band in chart.bands for edge in (band.x, band.x + band.width)]
    for bar in chart.bars:
        assert bar.x >= 0
        assert bar.x + bar.width <= 100.2
        assert not any(bar.x + 0.2 < edge < bar.x + bar.width - 0.2 for edge in edges)
    assert max(bar.height for bar in chart.bars) == 100


@given(st.lists(st.integers(1500, 9000), min_size=1, max_size=80))
def test_bars_of_as_many_fruit_are_equally_high(weights: list[int]) -> None:
    bars = [bar for bar in weight_spread("w", "t", "b", weights, count_bands(TRAY)).bars if bar.words]
    heights = {words: {bar.height for bar in bars if bar.words == words} for words in {bar.words for bar in bars}}
    assert all(len(found) == 1 for found in heights.values())


def test_what_another_look_would_say_leaves_out_an_end_that_says_nothing() -> None:
    said = [
        ranges.in_a_hundred((Fraction(low, 100), Fraction(high, 100))) for low, high in ((57, 87), (48, 100), (0, 9))
    ]
    assert [words.replace("\N{NO-BREAK SPACE}", " ") for words in said] == [
        "57 to 87 in 100",
        "at least 48 in 100",
        "at most 9 in 100",
    ]


@pytest.mark.parametrize(
    ("fruit", "limits", "sentence"),
    [
        (0, [], ""),
        (12, [("colour", 12), ("rot", 12)], "12 of the 24 fruit were not judged on colour or rot."),
        (12, [("colour", 12), ("rot", 8)], "12 of the 24 fruit were not judged on everything: colour (12), rot (8)."),
        (24, [("rot", 24)], "None of the 24 fruit was judged on rot."),
    ],
)
def test_what_was_not_judged_in_a_sentence(fruit: int, limits: list[tuple[str, int]], sentence: str) -> None:
    assert not_judged(fruit, limits, 24).removesuffix(" Such fruit may make a lower class than shown.") == sentence


def test_without_a_tray_weights_stand_without_counts() -> None:
    chart = weight_spread("w", "t", "b", [4000, 4100], ())
    assert chart.bands == ()
    assert {bar.band for bar in chart.bars} == {None}


def test_whole_gram_bands_leave_no_gap_where_the_table_rounds_to_the_gram() -> None:
    bands = (">= 200 g and <= 350 g", ">= 351 g and <= 550 g")
    assert size_chart(scale(*bands)).gaps == ("350.1\u202fg to 350.9\u202fg",)
    assert size_chart(scale(*bands, rounding=Rounding.HALF_UP_TO_THE_GRAM)).gaps == ()


def test_overlaps_are_named_with_both_sizes() -> None:
    chart = size_chart(scale(">= 200 g and <= 300 g", ">= 280 g and < 400 g"))
    assert chart.overlaps == ("280\u202fg to 300\u202fg: A or B",)
    assert chart.title == "Sizes overlap: some weights are in two"
    assert [piece.sizes for piece in chart.pieces] == [1, 2, 1]


def test_a_band_without_an_end_runs_to_the_end_of_the_line() -> None:
    chart = size_chart(scale(">= 200 g and <= 300 g", "> 300 g"))
    last = chart.bars[-1]
    assert last.x + last.width == pytest.approx(100, abs=0.2)
    assert chart.gaps == ()


@pytest.mark.parametrize("spec_id", sorted(library.standards()))
def test_what_is_drawn_of_a_standard_is_what_its_table_answers(spec_id: str) -> None:
    """Every decigram from 50 g to 1000 g."""
    found = library.standards()[spec_id].scale
    held = drawn._held(found)
    for weight in range(500, 10_000):
        names = {each.name for each in held if (each.least or 0) <= weight <= (each.most or weight)}
        assert names == set(found.codes(weight)), weight


def test_a_band_over_a_weight_begins_where_the_table_rounds_past_it() -> None:
    chart = size_chart(scale("<= 800 g", "> 800 g", rounding=Rounding.HALF_UP_TO_THE_GRAM))
    assert (chart.overlaps, chart.gaps) == ((), ())


def test_about_keeps_two_figures_that_mean_something() -> None:
    said = [ranges.about(Fraction(value)).replace("\u202f", " ") for value in (21_734, 8_650, 960, 87, 4)]
    assert said == ["22 000", "8 700", "960", "87", "4"]
