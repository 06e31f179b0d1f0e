"""UNECE FFV-45, Mangoes, 2017, section III size bands: from memory, confirm against the text.

Its area limits are inferred from GOST 33882-2016, table 1 (read), which follows it.
"""

import pytest

from shedgrade.domain.source import Mark
from shedgrade.domain.spec.library import standards

SPEC = standards()["mango-unece-ffv45"]


@pytest.mark.parametrize(
    ("weight_g", "codes"),
    [(99, ()), (100, ("A",)), (150, ("A",)), (800, ("C",)), (801, ("D",)), (900, ("D",))],
)
def test_size_codes_from_memory(weight_g: int, codes: tuple[str, ...]) -> None:
    assert SPEC.scale.codes(weight_g * 10) == codes


def test_the_area_limits_are_gosts_and_marked_inferred() -> None:
    gost = standards()["mango-gost-33882"].limit("skin-marks")
    for row, same in zip(SPEC.limit("skin-marks").rows, gost.rows, strict=True):
        assert (row.classes, row.sizes, row.to) == (same.classes, same.sizes, same.to)
        assert row.source.mark is (Mark.OUR_READING if row.classes == ("Extra",) else Mark.INFERRED)
