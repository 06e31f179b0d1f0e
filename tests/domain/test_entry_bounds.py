"""Bounds as people write them, read as the bounds that a spec file writes; what can mean two things is refused."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.entry.bounds import BoundError, Wanted, read_bound, said

AREA = Wanted((Unit.CM2, Unit.CIRCLES), at_most=True)
LENGTH = Wanted((Unit.MM,), at_most=True)
WEIGHT = Wanted((Unit.GRAM,))
SHARE = Wanted((Unit.PERCENT, Unit.NUMBER))
FAULT_SHARE = Wanted((Unit.PERCENT, Unit.NUMBER), at_most=True)
BRIX = Wanted((Unit.BRIX,))
PLACES = Wanted((Unit.NUMBER,), at_most=True)
STAGE = Wanted((Unit.NUMBER,))
RATIO = Wanted((Unit.NUMBER, Unit.PERCENT))
TOLERANCE = Wanted((Unit.NUMBER, Unit.PERCENT), at_most=True, counted="fruit")
EVERY = [AREA, LENGTH, WEIGHT, SHARE, FAULT_SHARE, BRIX, PLACES, STAGE, RATIO, TOLERANCE]

READ = [
    (AREA, "4 cm²", "<= 4 cm2"),
    (AREA, "4", "<= 4 cm2"),
    (AREA, "4cm2", "<= 4 cm2"),
    (AREA, "4 cm ²", "<= 4 cm2"),
    (AREA, "4 cm^2", "<= 4 cm2"),
    (AREA, "4 sq cm", "<= 4 cm2"),
    (AREA, "4 square centimetres", "<= 4 cm2"),
    (AREA, "400 mm²", "<= 4 cm2"),
    (AREA, "up to 4 cm2", "<= 4 cm2"),
    (AREA, "Up to 4 CM2.", "<= 4 cm2"),
    (AREA, "“at most 4 cm²”", "<= 4 cm2"),
    (AREA, "at  most\u00a04\u202fcm²", "<= 4 cm2"),
    (AREA, "no more than 4", "<= 4 cm2"),
    (AREA, "not exceeding 4 cm2", "<= 4 cm2"),
    (AREA, "less than or equal to 4", "<= 4 cm2"),
    (AREA, "max. 4 cm²", "<= 4 cm2"),
    (AREA, "4 max", "<= 4 cm2"),
    (AREA, "4.5 cm² or less", "<= 4.5 cm2"),
    (AREA, "4,5 cm²", "<= 4.5 cm2"),
    (AREA, "0,125 cm2", "<= 0.125 cm2"),
    (AREA, "2½ cm²", "<= 2.5 cm2"),
    (AREA, "1/2 cm²", "<= 0.5 cm2"),
    (AREA, "≤4cm²", "<= 4 cm2"),
    (AREA, "<= 4 cm2", "<= 4 cm2"),
    (AREA, "<4", "< 4 cm2"),
    (AREA, "under 4 cm²", "< 4 cm2"),
    (AREA, "less than 4 cm2", "< 4 cm2"),
    (AREA, "up to but not including 4", "< 4 cm2"),
    (AREA, "2-4 cm²", ">= 2 cm2 and <= 4 cm2"),
    (AREA, "more than 2 but less than 4 cm²", "> 2 cm2 and < 4 cm2"),
    (AREA, "over 2 to 4 cm²", "> 2 cm2 and <= 4 cm2"),
    (AREA, "2 circles of 6 mm", "<= 2 circles of 6 mm"),
    (AREA, "up to 1 circle of 6mm", "<= 1 circle of 6 mm"),
    (AREA, "none", "nil"),
    (AREA, "None allowed", "nil"),
    (AREA, "0", "<= 0 cm2"),
    (AREA, "any", "any"),
    (AREA, "no limit", "any"),
    (WEIGHT, "351 g to 500 g", ">= 351 g and <= 500 g"),
    (WEIGHT, "351-500 g", ">= 351 g and <= 500 g"),
    (WEIGHT, "351 – 500g", ">= 351 g and <= 500 g"),
    (WEIGHT, "351—500", ">= 351 g and <= 500 g"),
    (WEIGHT, "from 351 to 500 g", ">= 351 g and <= 500 g"),
    (WEIGHT, "between 351 and 500 grams", ">= 351 g and <= 500 g"),
    (WEIGHT, "351 to under 500 g", ">= 351 g and < 500 g"),
    (WEIGHT, "over 351 g and under 500", "> 351 g and < 500 g"),
    (WEIGHT, "≥ 351 g and ≤ 500 g", ">= 351 g and <= 500 g"),
    (WEIGHT, "more than 351 g, at most 500 g", "> 351 g and <= 500 g"),
    (WEIGHT, "351 g or more", ">= 351 g"),
    (WEIGHT, "351+", ">= 351 g"),
    (WEIGHT, "351 g and over", ">= 351 g"),
    (WEIGHT, "from 351", ">= 351 g"),
    (WEIGHT, "not under 351 g", ">= 351 g"),
    (WEIGHT, "at least 1 kg", ">= 1000 g"),
    (WEIGHT, "0,9 to 1 kg", ">= 900 g and <= 1000 g"),
    (WEIGHT, "900 g to 1 kg", ">= 900 g and <= 1000 g"),
    (WEIGHT, "up to 1 000 g", "<= 1000 g"),
    (WEIGHT, "up to 1,234,567 g", "<= 1234567 g"),
    (SHARE, "at least 21 %", ">= 21 %"),
    (SHARE, "over 2,5 %", "> 2.5 %"),
    (SHARE, "at least 33 1/3 per cent", ">= 33 1/3 %"),
    (SHARE, "at least ⅓", ">= 1/3"),
    (SHARE, "at least 10", ">= 10 %"),
    (FAULT_SHARE, "2,5 %", "<= 2.5 %"),
    (FAULT_SHARE, "5 percent", "<= 5 %"),
    (FAULT_SHARE, "10", "<= 10 %"),
    (LENGTH, "over 10 mm", "> 10 mm"),
    (LENGTH, "1.5 cm", "<= 15 mm"),
    (LENGTH, "10 millimeters", "<= 10 mm"),
    (BRIX, "at least 6,2 °Brix", ">= 6.2 Brix"),
    (BRIX, "over 6.2º Bx", "> 6.2 Brix"),
    (BRIX, "min 6.2", ">= 6.2 Brix"),
    (PLACES, "3 places", "<= 3"),
    (PLACES, "fewer than 3 spots", "< 3"),
    (STAGE, "2 to 4", ">= 2 and <= 4"),
    (RATIO, "at least 12", ">= 12"),
    (TOLERANCE, "10 %", "<= 10 %"),
    (TOLERANCE, "at least 60 %", ">= 60 %"),
    (TOLERANCE, "1 fruit", "<= 1"),
    (TOLERANCE, "2,5", "<= 2.5 %"),
    (AREA, "1.125 cm2", "<= 1.125 cm2"),
    (AREA, "0.500 cm2", "<= 0.5 cm2"),
    (TOLERANCE, "up to 2 fruits", "<= 2"),
]


@pytest.mark.parametrize(("wanted", "text", "canonical"), READ, ids=[text for _, text, _ in READ])
def test_what_people_write_is_read_as_the_bound_they_mean(wanted: Wanted, text: str, canonical: str) -> None:
    assert read_bound(text, wanted) == Bound.parse(canonical)


OFFERED = [
    (WEIGHT, "350 g", ["at most 350 g", "at least 350 g"]),
    (SHARE, "2,5 %", ["at most 2.5 %", "at least 2.5 %"]),
    (BRIX, "6.2", ["at most 6.2 Brix", "at least 6.2 Brix"]),
    (FAULT_SHARE, "0.5", ["at most 0.5 %", "at most 50 %"]),
    (FAULT_SHARE, "<= 1", ["at most 1 %", "at most 100 %"]),
    (TOLERANCE, "10", ["at most 10 %", "at most 10 fruit"]),
    (AREA, "1,500", ["at most 1500 cm²", "at most 1.5 cm²"]),
    (AREA, "about 4 cm²", ["at most 4 cm²"]),
    (AREA, "up to ca. 4 cm²", ["at most 4 cm²"]),
    (AREA, "1.000 cm2", ["at most 1000 cm²", "at most 1 cm²"]),
    (AREA, "under 1.250", ["under 1250 cm²", "under 1.25 cm²"]),
    (WEIGHT, "from 1.000 to 1.200 g", ["from 1000 g to 1200 g", "from 1 g to 1.2 g"]),
    (TOLERANCE, "0,05", ["at most 0.05 %", "at most 5 %"]),
    (TOLERANCE, "at least 0.6", ["at least 0.6 %", "at least 60 %"]),
    (WEIGHT, "500-351 g", ["from 351 g to 500 g"]),
    (AREA, "-", ["none", "any"]),
]


@pytest.mark.parametrize(("wanted", "text", "offers"), OFFERED, ids=[text for _, text, _ in OFFERED])
def test_what_can_mean_two_things_is_refused_and_each_is_offered(wanted: Wanted, text: str, offers: list[str]) -> None:
    with pytest.raises(BoundError) as refused:
        read_bound(text, wanted)
    assert list(refused.value.offers) == offers
    for offer in offers:
        read_bound(offer, wanted)


@pytest.mark.parametrize(
    ("wanted", "text"),
    [
        (AREA, "banana"),
        (AREA, "5 cm"),
        (AREA, "less than 40 mm"),
        (LENGTH, "under 1 cm²"),
        (AREA, "4 inches"),
        (AREA, "4 per fruit"),
        (AREA, "4 cm² ±1"),
        (AREA, "4/0"),
        (AREA, "3 4/3 cm²"),
        (AREA, "1.234,5"),
        (AREA, "2, 4"),
        (AREA, "between 4"),
        (AREA, "at most 4 or less"),
        (AREA, "up to 4 to over 2"),
        (WEIGHT, "5 oz"),
        (WEIGHT, "100 350 g"),
        (WEIGHT, "over 500 and under 500"),
        (WEIGHT, "351 g to 50 cm"),
        (SHARE, "at most 120 %"),
        (LENGTH, "4 g"),
        (LENGTH, "9" * 300),
        (PLACES, "3 %"),
        (PLACES, ""),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_would_be_accepted(wanted: Wanted, text: str) -> None:
    with pytest.raises(BoundError) as refused:
        read_bound(text, wanted)
    assert refused.value.offers == ()
    assert refused.value.accepted


@pytest.mark.parametrize(
    ("wanted", "text", "asked"),
    [(AREA, "5 cm", "an area"), (AREA, "2 to 4 mm", "an area"), (LENGTH, "1 cm²", "a length")],
)
def test_what_is_asked_for_is_said_where_the_unit_is_another_s(wanted: Wanted, text: str, asked: str) -> None:
    with pytest.raises(BoundError, match=f"as the unit of {asked};"):
        read_bound(text, wanted)


def figures(unit: Unit, most: int) -> st.SearchStrategy[Fraction]:
    """Figures that a spec file can hold, from nought, in base units."""
    decimals = st.integers(0, most * 10_000).map(lambda each: Fraction(each, 10_000))
    parts = st.integers(1, 60).flatmap(
        lambda low: st.integers(0, min(most, 9) * low).map(lambda top: Fraction(top, low))
    )
    return (decimals | parts).map(lambda figure: figure * unit.base)


@st.composite
def bounds(draw: st.DrawFn, wanted: Wanted) -> Bound:
    unit = draw(st.sampled_from(list(wanted.units)))
    most = 100 if unit is Unit.PERCENT else 1 if wanted.unit is Unit.PERCENT else 9_999
    low, high = sorted(draw(st.lists(figures(unit, most), min_size=2, max_size=2, unique=True)))
    ends = draw(st.sampled_from(["low", "high", "both", "same", "nil", "any"]))
    closed = draw(st.booleans()), draw(st.booleans())
    circle = None
    if unit is Unit.CIRCLES:
        one = Bound.parse("<= 1 circle of 6.5 mm")
        low, high, circle = (one.high or Fraction(0)) * 2, (one.high or Fraction(0)) * 3, one.circle_dmm
    if ends in {"nil", "any"}:
        return Bound.parse(ends)
    if ends == "same":
        return Bound(high, high, unit=unit, circle_dmm=circle)
    return Bound(
        low=None if ends == "high" else low,
        high=None if ends == "low" else high,
        low_closed=ends == "high" or closed[0],
        high_closed=ends == "low" or closed[1],
        unit=unit,
        circle_dmm=circle,
    )


@given(st.sampled_from(EVERY).flatmap(lambda wanted: st.tuples(st.just(wanted), bounds(wanted))))
@example((SHARE, Bound.parse("> 0")))
def test_every_bound_said_as_forms_say_it_is_read_back_as_itself(case: tuple[Wanted, Bound]) -> None:
    wanted, bound = case
    assert bound == Bound.parse(bound.text())
    may_be_misread = wanted.unit is Unit.PERCENT and bound.unit is Unit.NUMBER  # 0.5, which may be 0.5 % or a half
    try:
        again = read_bound(said(bound, wanted), wanted)
    except BoundError:
        again = None
    if again is not None and may_be_misread and not any((bound.low, bound.high)):
        again = replace(again, unit=bound.unit)  # nought is the same share however it is written
    assert again == bound or (again is None and may_be_misread)


@given(st.sampled_from(EVERY), st.text(max_size=60) | st.text("0123456789 .,/-<>=%cmgto²½", max_size=30))
def test_any_text_is_read_or_refused(wanted: Wanted, text: str) -> None:
    try:
        bound = read_bound(text, wanted)
    except BoundError as refused:
        for offer in refused.offers:
            read_bound(offer, wanted)
    else:
        assert bound == Bound.parse(bound.text())
