"""Figures of a crop's own measures as people type them."""

from fractions import Fraction

import pytest

from shedgrade.domain import entry
from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.crop import CropMeasure, TakenOn
from shedgrade.domain.entry import EntryError
from shedgrade.domain.source import Mark, Source

_SOURCE = Source("our own", "today", "", Mark.OUR_READING)


def measure(unit: Unit, plausible: str) -> CropMeasure:
    return CropMeasure("it", "figure of it", unit, TakenOn.SAMPLE, Bound.parse(plausible), _SOURCE)


DRY_MATTER = measure(Unit.PERCENT, ">= 5 % and <= 40 %")
DIAMETER = measure(Unit.MM, ">= 20 mm and <= 150 mm")
BRIX = measure(Unit.BRIX, ">= 3 Brix and <= 30 Brix")
RATIO = measure(Unit.NUMBER, "any")


@pytest.mark.parametrize(
    ("text", "of", "stored", "base"),
    [
        ("15.2", DRY_MATTER, 1520, Fraction(152, 1000)),
        ("15,25 %", DRY_MATTER, 1525, Fraction(1525, 10_000)),
        ("63.5", DIAMETER, 635, Fraction(635)),
        ("63.50", DIAMETER, 635, Fraction(635)),
        ("6.35 cm", DIAMETER, 635, Fraction(635)),
        ("9.5 Brix", BRIX, 950, Fraction(950)),
        ("7", RATIO, 700, Fraction(7)),
    ],
)
def test_a_figure_is_stored_whole_and_read_back_in_the_unit_of_bounds(
    text: str, of: CropMeasure, stored: int, base: Fraction
) -> None:
    assert entry.figure(text, of) == stored
    assert of.base(stored) == base


def test_several_stand_in_a_line_or_under_each_other() -> None:
    assert entry.figures("15.2 14.8\n16; 15 %", DRY_MATTER) == (1520, 1480, 1600, 1500)
    assert entry.figures("15.2 % 14.8 %", DRY_MATTER) == (1520, 1480)


@pytest.mark.parametrize("text", ["150", "0.15", "-3", "many", "15.2 kg", "15.2 oranges 14"])
def test_what_no_fruit_shows_is_refused_with_what_would_be_accepted(text: str) -> None:
    with pytest.raises(EntryError) as refused:
        entry.figures(text, DRY_MATTER)
    assert "from 5\N{NARROW NO-BREAK SPACE}% to 40\N{NARROW NO-BREAK SPACE}% is accepted" in str(refused.value)


def test_there_is_an_end_to_how_many() -> None:
    with pytest.raises(EntryError, match="101 figures are too many; at most 100 are accepted"):
        entry.figures("15 " * 101, DRY_MATTER)


@pytest.mark.parametrize(("text", "dmm"), [("12", 120), ("1.2 cm", 120), ("0.10", 1)])
def test_a_length_of_a_mark(text: str, dmm: int) -> None:
    assert entry.length(text) == dmm


@pytest.mark.parametrize("text", ["0", "-4", "600", "long"])
def test_no_length_of_a_mark(text: str) -> None:
    with pytest.raises(EntryError, match="a length up to 500"):
        entry.length(text)


@pytest.mark.parametrize(
    ("text", "of", "words"),
    [
        ("34.96 mm", DIAMETER, '"34.96 mm": tenths of a mm are kept; 34.9 or 35.0 is accepted.'),
        ("3.496 cm", DIAMETER, '"3.496 cm": tenths of a mm are kept; 34.9 or 35.0 is accepted.'),
        ("149.99", DIAMETER, "149.9 or 150.0 is accepted."),
        ("15.255", DRY_MATTER, '"15.255": hundredths of 1 % are kept; 15.25 or 15.26 is accepted.'),
        ("9.505", BRIX, "hundredths of 1 Brix are kept; 9.50 or 9.51 is accepted."),
        ("7.001", RATIO, "hundredths are kept; 7.00 or 7.01 is accepted."),
        ("20.04", measure(Unit.MM, "<= 20.05 mm"), "; 20.0 is accepted."),
    ],
)
def test_more_decimals_than_are_kept_are_refused_not_rounded(text: str, of: CropMeasure, words: str) -> None:
    """A limit of 35 mm must not be met by 34.96 mm."""
    with pytest.raises(EntryError) as refused:
        entry.figure(text, of)
    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("text", "accepted"), [("0.05", "; 0.1 is accepted."), ("12.34", "; 12.3 or 12.4 is accepted.")]
)
def test_a_length_finer_than_is_kept_is_refused(text: str, accepted: str) -> None:
    with pytest.raises(EntryError) as refused:
        entry.length(text)
    assert f"tenths of a mm are kept{accepted}" in str(refused.value)


def test_a_mean_is_kept_exactly() -> None:
    assert entry.mean("6.1951", BRIX) == Fraction("619.51")
    assert entry.mean("15.25555 %", DRY_MATTER) == Fraction("0.1525555")
    with pytest.raises(EntryError, match="no figure of it that can be"):
        entry.mean("40.0001", DRY_MATTER)
