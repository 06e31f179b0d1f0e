"""Areas, shares, counts, temperatures, money and days as people type them."""

import datetime as dt
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain import entry, units


def blemish(text: str) -> int:
    return entry.area(text, largest_mm2=30_000)


def tray_count(text: str) -> int:
    return entry.whole(text, least=1, most=40)


def six_stages(text: str) -> int:
    return entry.stage(text, stages=range(1, 7))


def dollars(text: str) -> int:
    return entry.money(text, "AUD")


def refusal(read: Callable[[str], object], text: str) -> str:
    with pytest.raises(entry.EntryError) as refused:
        read(text)
    return str(refused.value).replace(units.THIN, " ")


@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (blemish, "4.6", 460),
        (blemish, "4,6 cm2", 460),
        (blemish, "460 mm²", 460),
        (blemish, "0.005", 1),
        (blemish, "300 cm²", 30_000),
        (entry.share, "12.5", 1250),
        (entry.share, "12,5 %", 1250),
        (entry.share, "0.01", 1),
        (entry.share, "100", 10_000),
        (six_stages, "3", 3),
        (tray_count, "16", 16),
        (tray_count, " 1 ", 1),
        (entry.temperature, "12.5", 125),
        (entry.temperature, "54.5 °F", 125),
        (entry.temperature, "\N{MINUS SIGN}2,5 °C", -25),
        (entry.temperature, "-0.05", -1),  # halves away from zero
        (dollars, "21.50", 2150),
        (dollars, "21,5", 2150),
        (dollars, "1 000 AUD", 100_000),
        (dollars, "0", 0),
        (entry.hectares, "2.5", 25_000),
        (entry.hectares, "3 acres", 12_141),  # 12 140.569… m²
        (entry.hectares, "850 m2", 850),
        (entry.date, "2026-01-12", dt.date(2026, 1, 12)),
        (entry.date, " 2028-02-29\n", dt.date(2028, 2, 29)),
        (entry.moment, "2026-01-12T06:30", dt.datetime(2026, 1, 12, 6, 30)),  # noqa: DTZ001 - the shed's own time
        (entry.moment, "2026-01-12 06:30:15", dt.datetime(2026, 1, 12, 6, 30, 15)),  # noqa: DTZ001
    ],
)
def test_other_entries_are_read_in_whole_units(read: Callable[[str], object], text: str, value: object) -> None:
    assert read(text) == value


AREA = "an area up to 300 cm² is accepted."
WARMTH = "a temperature from \N{MINUS SIGN}40 to 100 °C is accepted."
DAY = "a day such as 2026-01-12 is accepted."
MOMENT = "a day and time such as 2026-01-12T06:30 is accepted."


@pytest.mark.parametrize(
    ("read", "text", "sentence"),
    [
        (
            blemish,
            "360",
            '"360" is more than the whole surface of this fruit, 300 cm²; did you mean 360 mm²?',
        ),
        (
            blemish,
            "360 cm2",
            '"360 cm2" is more than the whole surface of this fruit, 300 cm²; an area up to 300 cm² is accepted.',
        ),
        (blemish, "0", f'"0" is no area to measure; {AREA}'),
        (blemish, "-1", f'"-1" is no area to measure; {AREA}'),
        (blemish, "4 kg", f'"4 kg" has an unknown unit; {AREA}'),
        (entry.share, "0", '"0" is no share of a surface; a share above 0 %, up to 100 %, is accepted.'),
        (entry.share, "100.01", '"100.01" is no share of a surface; a share above 0 %, up to 100 %, is accepted.'),
        (entry.share, "0.001", '"0.001" is less than can be kept; a share from 0.01 % is accepted.'),
        (six_stages, "7", '"7" is no stage of this colour scale; a stage from 1 to 6 is accepted.'),
        (six_stages, "3.5", '"3.5" is not a whole number; a stage from 1 to 6 is accepted.'),
        (tray_count, "0", '"0" is too small; a whole number from 1 to 40 is accepted.'),
        (tray_count, "41", '"41" is too big; a whole number from 1 to 40 is accepted.'),
        (tray_count, "1,000", '"1,000" is not a whole number; a whole number from 1 to 40 is accepted.'),
        (tray_count, "16 trays", '"16 trays" has an unknown unit; a whole number from 1 to 40 is accepted.'),
        (entry.temperature, "212", f'"212" is too hot to be true; {WARMTH}'),
        (entry.temperature, "-41", f'"-41" is too cold to be true; {WARMTH}'),
        (dollars, "21.505", '"21.505" has too many decimals; an amount in AUD has up to 2 decimals.'),
        (dollars, "1,000", '"1,000" has too many decimals; an amount in AUD has up to 2 decimals.'),
        (dollars, "-1", '"-1" is less than nothing; an amount such as 21.50 AUD is accepted.'),
        (dollars, "21 NZD", '"21 NZD" has an unknown unit; an amount such as 21.50 AUD is accepted.'),
        (dollars, "9" * 20, f'"{"9" * 20}" is too much; an amount up to 10 000 000 000.00 AUD is accepted.'),
        (entry.hectares, "0", '"0" is no area of a block; an area above 0, up to 10 000 ha, is accepted.'),
        (entry.hectares, "10001", '"10001" is no area of a block; an area above 0, up to 10 000 ha, is accepted.'),
        (entry.date, "", "Nothing was typed; a day such as 2026-01-12 is accepted."),
        (
            entry.date,
            "12/1/2026",
            f'"12/1/2026" is no day written year-month-day; {DAY}',
        ),
        (entry.date, "2026-02-30", f'"2026-02-30" is not in the calendar; {DAY}'),
        (entry.date, "0000-01-01", f'"0000-01-01" is not in the calendar; {DAY}'),
        (entry.moment, "2026-01-12", f'"2026-01-12" is no day with a time of day; {MOMENT}'),
        (entry.moment, "2026-01-12T25:30", f'"2026-01-12T25:30" is not in the calendar or on the clock; {MOMENT}'),
    ],
)
def test_other_entries_are_refused_in_one_sentence(read: Callable[[str], object], text: str, sentence: str) -> None:
    assert refusal(read, text) == sentence


def test_money_has_the_decimals_of_its_currency() -> None:
    assert entry.money("1250", "JPY") == 1250
    assert entry.money("1.250", "KWD") == 1250
    assert refusal(lambda text: entry.money(text, "JPY"), "12.5").endswith("an amount in JPY has no decimals.")


@given(area_mm2=st.integers(1, 30_000))
def test_what_is_said_of_an_area_can_be_typed_back(area_mm2: int) -> None:
    assert blemish(units.say_area(area_mm2)) == area_mm2


@given(amount_minor=st.integers(0, 10**12), currency=st.sampled_from(["AUD", "JPY", "KWD"]))
def test_what_is_said_of_money_can_be_typed_back(amount_minor: int, currency: str) -> None:
    assert entry.money(units.say_money(amount_minor, currency), currency) == amount_minor
