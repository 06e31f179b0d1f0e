"""Avocado size table (European code, US, Mexico, Chile), as repeated by a trade page; mark: second-hand.

The code is the count in a 4 kg carton. Bands overlap, so a weight may have several codes.
"""

import pytest

from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards

SPEC = standards()["avocado-trade-4kg"]


@pytest.mark.parametrize(
    ("weight_g", "codes"),
    [
        (184, {"20", "22"}),  # the lower end of 184-217, inside 165-196
        (217, {"18", "20"}),  # the upper end of 184-217, inside 203-243
        (218, {"18"}),
        (135, {"28", "30", "32"}),
        (143, {"28"}),  # 32 ends at 142, 26 starts at 144
        (463, set()),  # 10 ends at 462
    ],
)
def test_a_weight_has_the_codes_of_the_read_table(weight_g: int, codes: set[str]) -> None:
    assert set(SPEC.scale.codes(weight_g * 10)) == codes


def test_neighbouring_bands_overlap_and_leave_no_gap_from_100_to_462_g() -> None:
    assert all(SPEC.scale.codes(weight_dg) for weight_dg in range(1000, 4621))


def test_a_code_is_the_count_of_its_middle_weight_in_about_4_kg() -> None:
    """Calculated: code times the middle of its band lies between 3.87 and 4.13 kg."""
    for band in SPEC.scale.bands:
        assert band.to.low is not None
        assert band.to.high is not None
        carton_g = int(band.name) * (band.to.low + band.to.high) / 2 / 10
        assert 3865 <= carton_g <= 4135, band.name


def test_the_bands_are_marked_second_hand() -> None:
    assert {band.source.mark for band in SPEC.scale.bands} == {Mark.SECOND_HAND}
