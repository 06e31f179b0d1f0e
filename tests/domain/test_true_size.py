"""Shapes of known area, as wide and high as geometry says."""

from math import pi, sqrt

import pytest

from shedgrade.domain.true_size import BANK_CARD_UM, card_shapes, circle, ellipse


@pytest.mark.parametrize("area_mm2", [25, 400, 1200])
def test_shapes_have_their_area(area_mm2: int) -> None:
    across = circle(area_mm2).width_um / 1000
    assert across == pytest.approx(sqrt(4 * area_mm2 / pi), abs=0.001)
    lying = ellipse(area_mm2)
    assert lying.width_um * lying.height_um * pi / 4e6 == pytest.approx(area_mm2, rel=0.0005)
    assert lying.width_um == pytest.approx(2 * lying.height_um, abs=2)


def test_the_card_holds_circles_then_ellipses_from_a_quarter_to_twelve_cm2() -> None:
    shapes = card_shapes()
    assert [each.is_circle for each in shapes] == [True] * 12 + [False] * 12
    assert (shapes[0].area_mm2, shapes[11].area_mm2) == (25, 1200)


def test_a_bank_card_is_id_1() -> None:
    # ISO/IEC 7810, ID-1: 85.60 by 53.98 mm, read second-hand (pages that repeat the standard).
    assert BANK_CARD_UM == (85_600, 53_980)
