"""No text whatever brings anything but a value or a sentence."""

import datetime as dt
from collections.abc import Callable

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shedgrade.domain import entry, units

READERS: dict[str, Callable[[str], object]] = {
    "weight": lambda text: entry.weight(text, lightest_dg=800, heaviest_dg=15_000, fruit_name="mango"),
    "mass": entry.mass,
    "area": lambda text: entry.area(text, largest_mm2=30_000),
    "share": entry.share,
    "whole": lambda text: entry.whole(text, least=1, most=40),
    "stage": lambda text: entry.stage(text, stages=range(1, 7)),
    "temperature": entry.temperature,
    "money": lambda text: entry.money(text, "AUD"),
    "hectares": entry.hectares,
    "date": entry.date,
    "moment": entry.moment,
}
SIGNS = "0123456789 .,+-eEgGkKlLbozZtTMSUHO?*%/:\x02\x03\r\n²\u0660\u2212\u202f"
ANY_TEXT = st.text() | st.text(alphabet=SIGNS, max_size=20)


@pytest.mark.parametrize("name", READERS)
@given(text=ANY_TEXT)
@example(text="\ud800")
@example(text="9" * 5000)
def test_any_text_brings_a_value_or_a_sentence(name: str, text: str) -> None:
    outcome: object
    try:
        outcome = READERS[name](text)
    except entry.EntryError as refused:
        outcome = refused
    if isinstance(outcome, entry.EntryError):
        sentence = str(outcome).replace(units.THIN, " ")
        assert sentence.isprintable()
        assert sentence[-1] in ".?"
        assert len(sentence) < 200
    else:
        assert isinstance(outcome, int | dt.date)
