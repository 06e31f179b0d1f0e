"""Which names are taken for the same."""

import pytest

from shedgrade.domain.names import name_among


@pytest.mark.parametrize("typed", ["Dunmarrin", "dunmarrin", "DUNMARRIN", "  Dunmarrin "])
def test_capitals_and_spaces_make_no_other_name(typed: str) -> None:
    assert name_among(typed, ["Tallow Creek", "Dunmarrin"]) == "Dunmarrin"


def test_spaces_in_a_row_are_one() -> None:
    assert name_among("Tallow  Creek", ["tallow creek"]) == "tallow creek"


@pytest.mark.parametrize("typed", ["Dunmarin", "Dunmarrin 2", "", "TallowCreek"])
def test_another_name_is_another(typed: str) -> None:
    assert name_among(typed, ["Tallow Creek", "Dunmarrin"]) is None
