"""Currency codes, and amounts as a form writes them."""

import pytest

from shedgrade.domain import entry
from shedgrade.domain.currencies import CODES, currency, typed_amount


def test_a_code_is_taken_in_any_case() -> None:
    assert currency(" aud ") == "AUD"


@pytest.mark.parametrize("typed", ["", "AUS", "dollars", "A$", "XAU", "XXX"])
def test_what_no_fruit_is_sold_in_is_refused_in_a_sentence(typed: str) -> None:
    with pytest.raises(ValueError, match="three letters such as AUD or EUR are accepted"):
        currency(typed)


@pytest.mark.parametrize(
    ("minor", "code", "typed"),
    [
        (2150, "AUD", "21.50"),
        (-6, "AUD", "-0.06"),
        (123_456_789, "EUR", "1234567.89"),
        (500, "JPY", "500"),
        (1500, "KWD", "1.500"),
        (0, "AUD", "0.00"),
    ],
)
def test_an_amount_is_written_as_it_would_be_typed(minor: int, code: str, typed: str) -> None:
    assert typed_amount(minor, code) == typed


@pytest.mark.parametrize("code", sorted(CODES))
def test_every_currency_reads_back_what_it_writes(code: str) -> None:
    assert entry.money(typed_amount(1_234_567, code), code) == 1_234_567
