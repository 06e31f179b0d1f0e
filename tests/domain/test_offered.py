"""Sizes offered to tap for a mark: what the spec's limits say, and steps between."""

from dataclasses import replace

import pytest

from shedgrade.demo.season import spec_named
from shedgrade.domain.bound import Bound
from shedgrade.domain.crop import Measured
from shedgrade.domain.fruit_entry import FruitReader, Typed
from shedgrade.domain.spec import library
from shedgrade.domain.spec.offered import MOST_OFFERED, sizes_offered
from shedgrade.domain.units import digits

EVERY_SPEC = library.standards()


def offered(spec_id: str, kind_id: str) -> list[str]:
    spec = EVERY_SPEC.get(spec_id) or spec_named(spec_id)
    return [digits(size, 2, trim=True) for size in sizes_offered(spec, spec.crop.kind(kind_id))]


@pytest.mark.parametrize(
    ("spec_id", "kind_id", "sizes"),
    [
        # Limits 3, 4 and 5: half of 3, a step between each two, half as much again as 5.
        ("kestrow-mango", "sap-stain", ["1.5", "3", "3.5", "4", "4.5", "5", "7.5"]),
        # Limits 2 to 7 fill the room: no steps between.
        ("mango-agmark", "rub", ["1", "2", "3", "4", "5", "6", "7", "10.5"]),
        # The most of a share under 25.
        ("kestrow-mango", "lenticels", ["12", "25", "38"]),
        # Under six places is at most five.
        ("mango-au-class1-2016", "pink-spot", ["2", "5", "8"]),
        ("avocado-codex-cxs197", "stalk", ["5", "10", "15"]),
        # No limit names it.
        ("mango-us-2007", "rub", ["0.5", "1", "2", "4", "8"]),
        ("kestrow-mango", "rot", []),
    ],
)
def test_limits_and_steps_between(spec_id: str, kind_id: str, sizes: list[str]) -> None:
    assert offered(spec_id, kind_id) == sizes


@pytest.mark.parametrize(
    ("limits", "sizes"),
    [
        # Three limits and the five beside and between them fit; of four, the steps between would be too many.
        ((2, 4, 6), ["1", "2", "3", "4", "5", "6", "9"]),
        ((2, 4, 6, 10), ["1", "2", "4", "6", "10", "15"]),
        # Of more than six the largest stay.
        ((1, 2, 3, 4, 5, 6, 8), ["1", "2", "3", "4", "5", "6", "8", "12"]),
    ],
)
def test_a_size_above_the_largest_limit_is_always_offered(limits: tuple[int, ...], sizes: list[str]) -> None:
    spec = spec_named("kestrow-mango")
    sap = next(limit for limit in spec.limits if "sap-stain" in limit.measure.of)
    row = sap.rows[0]
    rows = tuple(replace(row, to=Bound.parse(f"<= {limit} cm2")) for limit in limits)
    held = replace(spec, limits=(replace(sap, rows=rows),), severities=())
    offered_sizes = sizes_offered(held, spec.crop.kind("sap-stain"))
    assert [digits(size, 2, trim=True) for size in offered_sizes] == sizes


@pytest.mark.parametrize("spec_id", EVERY_SPEC)
def test_every_size_is_taken_as_it_would_be_typed(spec_id: str) -> None:
    spec = EVERY_SPEC[spec_id]
    weight = str((spec.crop.heaviest_dg or 10_000) // 10)
    for kind in spec.crop.kinds:
        sizes = sizes_offered(spec, kind)
        assert len(sizes) <= MOST_OFFERED
        assert list(sizes) == sorted(set(sizes))
        assert bool(sizes) == (kind.measure is not Measured.PRESENT)
        for size in sizes:
            typed = Typed(weight, marks={kind.id: digits(size, 2, trim=True)})
            fruit, _ = FruitReader(spec.crop).read(typed)
            (mark,) = fruit.defects
            per = {Measured.LENGTH: 10, Measured.PLACES: 1}.get(kind.measure, 100)
            assert size * per in {mark.area_mm2, mark.share_bp, mark.length_dmm, mark.places}
