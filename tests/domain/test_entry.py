"""Weights as people type them and as scales send them. Scale lines are common practice, after no one standard."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain import entry, units


def mango(text: str) -> int:
    return entry.weight(text, lightest_dg=800, heaviest_dg=15_000, fruit_name="mango")


def refusal(read: Callable[[str], object], text: str) -> str:
    with pytest.raises(entry.EntryError) as refused:
        read(text)
    return str(refused.value).replace(units.THIN, " ")


@pytest.mark.parametrize(
    ("text", "weight_dg"),
    [
        ("412", 4120),
        (" 412 ", 4120),
        ("+412", 4120),
        ("412.", 4120),
        ("412.5", 4125),
        ("412,5 g", 4125),
        ("0.412 kg", 4120),
        (",412kg", 4120),
        ("1 200", 12_000),
        (f"1{units.THIN}200{units.THIN}g", 12_000),
        ("412.34", 4123),
        ("412.35", 4124),
        ("1 lb", 4536),  # 453.59237 g
        ("16 oz", 4536),
        ("14.5 oz", 4111),  # 411.0683… g
    ],
)
def test_a_typed_weight_is_read_to_the_decigram(text: str, weight_dg: int) -> None:
    assert mango(text) == weight_dg


@pytest.mark.parametrize(
    ("line", "weight_dg"),
    [
        ("412.5 g\r\n", 4125),
        ("0.4125kg\r", 4125),
        ("ST,GS,+  0.412kg\r\n", 4120),
        ("ST,NT,+00412.5 g", 4125),
        ("ST,GS,412g", 4120),
        ("\x02+0000412G\x03", 4120),
        ("\x02+0000412N\x03\r\n", 4120),
        ("S S      412.5 g", 4125),
        ("G 412.5 g", 4125),
        ("412.5 g G", 4125),
        ("*412 g", 4120),
        ("\ufeff412", 4120),  # a file's first cell may carry a byte order mark
    ],
)
def test_a_settled_line_of_a_scale_is_a_weight(line: str, weight_dg: int) -> None:
    assert mango(line) == weight_dg


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("US,GS,+  0.412kg", "The scale had not settled"),
        ("S D      411.8 g", "The scale had not settled"),
        ("412.5 g ?", "The scale had not settled"),
        ("412.5 M", "The scale had not settled"),
        ("?", "The scale had not settled"),
        ("OL", "The scale is overloaded"),
        ("OL,GS,+999999kg", "The scale is overloaded"),
        ("OVER", "The scale is overloaded"),
        ("H", "The scale is overloaded"),
        ("^^^^^^", "The scale is overloaded"),
        ("S +", "The scale is overloaded"),
        ("\x02+0000412O\x03", "The scale is overloaded"),
        ("UL", "The scale shows less than empty"),
        ("UNDER", "The scale shows less than empty"),
        ("L", "The scale shows less than empty"),
        ("S -", "The scale shows less than empty"),
        ("\x02-0000012U\x03", "The scale shows less than empty"),
        ("----", "The scale shows no weight"),
        ("\x02+0000412E\x03", "The scale reports a fault"),
        ("Err", "The scale reports a fault"),
        ("EEEE", "The scale reports a fault"),
        ("S I", "The scale reports a fault"),
        ("TR,+  0.100kg", "The scale sent its tare"),
        ("US,OL,+  0.412kg", "The scale is overloaded"),
    ],
)
def test_what_is_no_settled_weight_is_no_reading(line: str, found: str) -> None:
    with pytest.raises(entry.NoReading) as refused:
        mango(line)
    assert refused.value.found == found
    assert str(refused.value) == f"{found}; {refused.value.accepted}."


RANGE = "a weight from 80 g to 1 500 g is accepted."


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("4 600 g", "4 600 g is heavier than any mango; did you mean 460 g?"),
        ("4600", "4 600 g is heavier than any mango; did you mean 460 g?"),
        ("4,12", "4.12 g is lighter than any mango; did you mean 412 g?"),
        ("0.412", "0.412 g is lighter than any mango; did you mean 412 g?"),
        ("1,200", "1.2 g is lighter than any mango; did you mean 1 200 g?"),
        ("412 kg", "412 000 g is heavier than any mango; did you mean 412 g?"),
        ("ST,GS,+  4.876kg", "4 876 g is heavier than any mango; did you mean 487.6 g?"),
        ("99999", f"99 999 g is heavier than any mango; {RANGE}"),
        ("0", f"0 g is lighter than any mango; {RANGE}"),
        ("-5", f"\N{MINUS SIGN}5 g is less than nothing; {RANGE}"),
        ("\N{MINUS SIGN}5", f"\N{MINUS SIGN}5 g is less than nothing; {RANGE}"),
        ("ST,GS,-  0.012kg", f"\N{MINUS SIGN}12 g is less than nothing; {RANGE}"),
        ("", f"Nothing was typed; {RANGE}"),
        (" \r\n", f"Nothing was typed; {RANGE}"),
        ("abc", f'"abc" is not a number; {RANGE}'),
        ("nan", f'"nan" is not a number; {RANGE}'),
        ("inf", f'"inf" is not a number; {RANGE}'),
        ("-", f'"-" is not a number; {RANGE}'),
        ("1e9", f'"1e9" is not a plain number; {RANGE}'),
        ("= 460", f'"= 460" is not a plain number; {RANGE}'),
        (", 5", f'", 5" is not a plain number; {RANGE}'),
        ("1.2.3", f'"1.2.3" has more than one decimal point; {RANGE}'),
        ("1,234.5", f'"1,234.5" has both a comma and a point; {RANGE}'),
        ("46 0", f'"46 0" holds more than one number; {RANGE}'),
        ("460g412", f'"460g412" holds more than one number; {RANGE}'),
        ("4x0", f'"4x0" has a letter where a digit should stand; {RANGE}'),
        ("4éé0 g", f'"4éé0 g" has a letter where a digit should stand; {RANGE}'),
        ("01 460", f'"01 460" holds more than one number; {RANGE}'),
        ("460 mg", f'"460 mg" has an unknown unit; {RANGE}'),
        ("460 m", f'"460 m" has an unknown unit; {RANGE}'),
        ("\uff14\uff16\uff10", f'"\uff14\uff16\uff10" is not written with the digits 0 to 9; {RANGE}'),
        ("\u0664\u0666\u0660", f'"\u0664\u0666\u0660" is not written with the digits 0 to 9; {RANGE}'),
        ("9" * 60, f'"{"9" * 24}…" is heavier than any mango; {RANGE}'),
        ("9" * 100_000, f'"{"9" * 24}…" is too long for a number; {RANGE}'),
    ],
)
def test_any_other_weight_is_refused_in_one_sentence(text: str, sentence: str) -> None:
    assert refusal(mango, text) == sentence


@pytest.mark.parametrize("edge", ["80", "1500", "79.95", "1500.04"])
def test_the_ends_of_the_plausible_weights_are_accepted(edge: str) -> None:
    assert 800 <= mango(edge) <= 15_000


@pytest.mark.parametrize("beyond", ["79.94", "1500.05"])
def test_a_decigram_beyond_the_ends_is_not(beyond: str) -> None:
    assert "than any mango" in refusal(mango, beyond)


def test_a_fruit_without_an_upper_end_says_only_the_lower() -> None:
    def melon(text: str) -> int:
        return entry.weight(text, lightest_dg=5000, heaviest_dg=None, fruit_name="melon")

    assert melon("12 kg") == 120_000
    assert refusal(melon, "0") == "0 g is lighter than any melon; a weight of at least 500 g is accepted."


@pytest.mark.parametrize(
    ("text", "mass_g"),
    [
        ("412", 412_000),
        ("412.5", 412_500),
        ("0,0005", 1),
        ("1 200 kg", 1_200_000),
        ("1.2 t", 1_200_000),
        ("412 g", 412),
        ("100 lb", 45_359),
        ("ST,GS,+  412.5kg\r\n", 412_500),
        ("\x02+0000412G\x03", 412_000),  # G is gross here, not gram
    ],
)
def test_a_load_is_kilograms_unless_it_says_otherwise(text: str, mass_g: int) -> None:
    assert entry.mass(text) == mass_g


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("70000", "70 000 kg is too much; a weight from 1 g to 60 000 kg is accepted."),
        ("0", "0 g is too little; a weight from 1 g to 60 000 kg is accepted."),
        ("-3", "\N{MINUS SIGN}3 kg is less than nothing; a weight from 1 g to 60 000 kg is accepted."),
        ("9" * 40, f'"{"9" * 24}…" is too much; a weight from 1 g to 60 000 kg is accepted.'),
        ("12 bins", '"12 bins" has an unknown unit; a weight from 1 g to 60 000 kg is accepted.'),
    ],
)
def test_a_load_that_cannot_be_is_refused(text: str, sentence: str) -> None:
    assert refusal(entry.mass, text) == sentence


@pytest.mark.parametrize("text", ["41o", "4O0", "l50", "4o", "44I,5", "41o kg"])
def test_a_letter_typed_for_a_digit_is_named(text: str) -> None:
    assert f'"{text}" has a letter where a digit should stand; a weight from' in refusal(entry.mass, text)


def test_waste_may_weigh_nothing_where_the_page_allows_it() -> None:
    assert entry.mass("0", least_g=0) == 0


@given(weight_dg=st.integers(800, 15_000))
def test_what_is_said_of_a_weight_can_be_typed_back(weight_dg: int) -> None:
    assert mango(units.say_weight(weight_dg)) == weight_dg


@given(weight_dg=st.integers(800, 15_000), word=st.sampled_from(["ST", "US"]))
def test_a_scale_line_gives_its_weight_only_when_settled(weight_dg: int, word: str) -> None:
    line = f"{word},GS,+{weight_dg / 10:9.1f} g\r\n"
    if word == "ST":
        assert mango(line) == weight_dg
    else:
        with pytest.raises(entry.NoReading):
            mango(line)
