from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.bound import ANY, NIL, Bound, Unit, say_exact

THIN = "\N{NARROW NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("text", "value", "allowed"),
    [
        ("<= 4 cm2", 400, True),
        ("<= 4 cm2", 401, False),
        ("< 4 cm2", 400, False),
        ("< 4 cm2", 399, True),
        (">= 1/3", Fraction(1, 3), True),
        (">= 1/3", Fraction(33, 100), False),
        (">= 33 1/3 %", Fraction(1, 3), True),
        ("> 21 % and < 35 %", Fraction(21, 100), False),
        ("> 21 % and < 35 %", Fraction(2101, 10000), True),
        ("> 21 % and < 35 %", Fraction(35, 100), False),
        (">= 100 g and <= 350 g", 1000, True),
        (">= 100 g and <= 350 g", 3500, True),
        (">= 100 g and <= 350 g", 999, False),
        (">= 100 g and <= 350 g", 3501, False),
        ("> 800 g", 8000, False),
        ("nil", 0, True),
        ("nil", Fraction(1, 10**6), False),
        ("any", 10**9, True),
        (">= 3", 3, True),
        (">= 3", 2, False),
        ("<= 10 mm", 100, True),
        ("<= 10 mm", 101, False),
        (">= 6.2 Brix", 620, True),
        (">= 6.2 Brix", 619, False),
        # a circle of 6 mm covers 3.14159 x 3 x 3 = 28.27 mm²
        ("<= 2 circles of 6 mm", 56, True),
        ("<= 2 circles of 6 mm", 57, False),
        ("<= 1 circle of 25.4 mm", 506, True),
        ("<= 1 circle of 25.4 mm", 507, False),
    ],
)
def test_inclusive_means_inclusive(text: str, value: int | Fraction, *, allowed: bool) -> None:
    assert Bound.parse(text).allows(value) is allowed


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("<= 4 cm2", f"at most 4{THIN}cm²"),
        (">= 3", "at least 3"),
        ("< 200 g", f"under 200{THIN}g"),
        ("> 800 g", f"over 800{THIN}g"),
        ("nil", "none"),
        ("<= 0 %", "none"),
        ("any", "any"),
        (">= 351 g and <= 550 g", f"from 351{THIN}g to 550{THIN}g"),
        ("> 21 % and < 35 %", f"over 21{THIN}% and under 35{THIN}%"),
        (">= 33 1/3 %", f"at least 33 1/3{THIN}%"),
        (">= 1/3", "at least 1/3"),
        ("<= 4.5 cm2", f"at most 4.5{THIN}cm²"),
        ("<= 10 mm", f"at most 10{THIN}mm"),
        (">= 6.2 Brix", f"at least 6.2{THIN}Brix"),
        ("<= 2 circles of 6 mm", "at most 2 circles of 6 mm"),
        ("<= 1 circles of 25.4 mm", "at most 1 circle of 25.4 mm"),
    ],
)
def test_a_bound_is_said_in_plain_words(text: str, said: str) -> None:
    assert Bound.parse(text).says() == said


@pytest.mark.parametrize(
    "text",
    [
        *("", "4 cm2", "=< 4", "<= 4 cm", "<= four", "<= -1", "<= 4 cm2 and", "<= 1/0", "<= 1 4/3", "<= 1e3"),
        *(
            ">= 5 and <= 4",
            "> 5 and < 5",
            "> 5 and <= 5",
            "< 0",
            ">= 1 and >= 2",
            "<= 3 and <= 4",
            ">= 100 and <= 350 g",
        ),
        *("<= 1 circle", "<= 1 circle of 0 mm", "<= 1 circle of 6 g", "<= 6 mm circles", f"<= 1{' ' * 300}g"),
        *(">= 1 circle of 6 mm and <= 2 circles of 7 mm", "<= 6 brix"),
        *(">= 1 and >= 2 and >= 3", "<= 9999999999 g", "nil and any", "<= ٣"),
    ],
)
def test_what_is_no_bound_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"^a comparator, a figure|over 0 mm|same side|mixes units|allows nothing"):
        Bound.parse(text)


figures = st.one_of(
    st.integers(0, 10**9 - 1).map(str),
    st.decimals(0, 999999, places=3).map(lambda figure: f"{figure:f}"),
    st.tuples(st.integers(1, 999), st.integers(1, 999)).map(lambda pair: f"{pair[0]}/{pair[1]}"),
    st.tuples(st.integers(1, 999), st.integers(1, 999)).map(lambda pair: f"{sum(pair)} {min(pair)}/{sum(pair)}"),
)
ends = st.tuples(st.sampled_from(["<=", "<", ">=", ">"]), figures, st.sampled_from(list(Unit)))


@pytest.mark.parametrize(
    "text",
    ["<= 2 circles of 6 mm", "> 1 circle of 12.5 mm", ">= 1/3 circles of 1/3 mm and < 7 circles of 1/3 mm", "<= 10 mm"],
)
def test_the_written_form_keeps_its_circles(text: str) -> None:
    assert Bound.parse(text).text() == text


def test_an_area_of_circles_is_said_in_decimals_where_it_is_compared_with_an_area() -> None:
    bound = Bound.parse("<= 1 circle of 12 mm")
    assert bound.high is not None
    assert say_exact(bound.high, Unit.CM2) == say_exact(bound.high, Unit.CIRCLES) == f"1.13{THIN}cm²"


@given(st.lists(ends, min_size=1, max_size=2))
def test_the_written_form_reads_back_as_the_same_bound(parts: list[tuple[str, str, Unit]]) -> None:
    try:
        bound = Bound.parse(" and ".join(f"{sign} {figure} {unit}" for sign, figure, unit in parts))
    except ValueError:
        return
    assert Bound.parse(bound.text()) == bound
    assert bound.says()


@given(ends, st.integers(0, 10**6))
def test_the_whole_ends_allow_the_same_whole_numbers(part: tuple[str, str, Unit], value: int) -> None:
    sign, figure, unit = part
    try:
        bound = Bound.parse(f"{sign} {figure} {unit}")
    except ValueError:
        return
    least, most = bound.whole()
    assert bound.allows(value) == ((least is None or value >= least) and (most is None or value <= most))


def test_nil_and_any_have_one_written_form() -> None:
    assert Bound.parse("nil") == NIL == Bound.parse("<= 0")
    assert Bound.parse("any") == ANY
    assert (NIL.text(), ANY.text()) == ("nil", "any")
