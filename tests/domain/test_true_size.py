"""Which circles are offered for a kind of fault: the limits of the spec, and steps between."""

from math import pi, sqrt

import pytest

from shedgrade.demo.season import spec_named
from shedgrade.domain.crop import Measured
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.true_size import BANK_CARD_UM, areas_offered, card_shapes, circle, ellipse

# UNECE FFV-45 would do as well; this one names sapburn alone and three scars together at 4 cm².
AUSTRALIA = library.standards()["mango-au-class1-2016"]


def areas(spec: Spec, kind: str) -> list[int]:
    return [each.area_mm2 for each in areas_offered(spec, kind)]


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


def test_a_limit_is_offered_with_its_class_the_steps_under_it_and_one_over() -> None:
    offered = areas_offered(AUSTRALIA, "sap-stain")
    assert [each.area_mm2 for each in offered] == [25, 50, 100, 150, 200, 300, 400, 500]
    assert {each.area_mm2: each.most_in for each in offered if each.most_in} == {400: (AUSTRALIA.classes[0].id,)}


def test_a_limit_over_several_kinds_counts_for_each_of_them() -> None:
    assert areas(AUSTRALIA, "hail-mark") == areas(AUSTRALIA, "rub") == areas(AUSTRALIA, "sap-stain")


def test_a_kind_not_measured_by_area_has_no_circles() -> None:
    others = [each.id for each in AUSTRALIA.crop.kinds if each.measure is not Measured.AREA]
    assert others
    assert [areas(AUSTRALIA, each) for each in others] == [[]] * len(others)


def test_every_limit_by_area_of_every_standard_is_on_its_circles() -> None:
    for spec in (*library.standards().values(), spec_named("kestrow-mango")):
        for kind in (each for each in spec.crop.kinds if each.measure is Measured.AREA):
            offered = areas_offered(spec, kind.id)
            found = [each.area_mm2 for each in offered]
            assert found == sorted(set(found))
            assert found, kind.id
            limits = [each.area_mm2 for each in offered if each.most_in]
            assert not limits or found[-1] > max(limits), f"{spec.id} {kind.id}: nothing is over the largest limit"
