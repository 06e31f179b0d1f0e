"""Common practice of the trade, no source: a clean, well-coloured fruit of full size makes the best class, and no other
fruit is worth more. Held for every invented buyer and every built-in spec that the demo has prices for."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shedgrade.demo.season import market_specs, season, spec_named
from shedgrade.domain.crop import Crop, Measured
from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.packout import loose_value, tray_value
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType

HEAVIEST_DG = 12_000
WELL_COLOURED = {"mango": 4, "avocado": None}


@dataclass(frozen=True)
class Trade:
    """A spec with the tray and the prices it is sold at."""

    spec: Spec
    tray: TrayType
    market: Mapping[str, Any]

    def worth(self, fruit: Fruit) -> Fraction:
        verdict = grade(self.spec, fruit, self.tray)
        first = self.market["prices"][0]
        if verdict.outlet is not None:
            return loose_value(Fraction(first["outlet"][verdict.outlet.id]), fruit.weight_dg)
        assert verdict.class_id is not None
        assert verdict.count is not None
        assert verdict.count.count is not None
        by_count = dict(zip(self.tray.counts, first["tray"][verdict.class_id], strict=True))
        return tray_value(Fraction(by_count[verdict.count.count]), verdict.count.count)

    @cached_property
    def best(self) -> Fruit:
        """The heaviest clean fruit that has a size and goes into the tray."""
        heaviest = self.tray.heaviest_dg or HEAVIEST_DG
        weight = next(
            weight for weight in range(heaviest, 0, -1) if not self.spec.scale.bands or self.spec.scale.codes(weight)
        )
        return Fruit(weight, WELL_COLOURED[self.spec.crop.id])


def tray_named(name: str) -> TrayType:
    row = next(row for row in season().tables["tray"] if row["name"] == name)
    heaviest = row.get("heaviest")
    return TrayType("1", name, int(Fraction(row["kg"]) * 1000), tuple(row["counts"]), heaviest and heaviest * 10)


def trades() -> list[Trade]:
    """Every buyer's own spec in its market, and every built-in spec at the fruit exchange of its crop that has a price
    for each of its classes."""
    markets = season().tables["market"]
    found = []
    for spec in (*market_specs().values(), *library.standards().values()):
        own = [market for market in markets if market["spec"] == spec.id]
        exchange = [market for market in markets if "Exchange" in market["name"] and is_sold_at(spec, market)]
        found += [Trade(spec, tray_named(market["trays"][0]), market) for market in (own or exchange)[:1]]
    return found


def is_sold_at(spec: Spec, market: Mapping[str, Any]) -> bool:
    priced = market["prices"][0]["tray"]
    return spec_named(market["spec"]).crop.id == spec.crop.id and all(each.id in priced for each in spec.classes)


def fruit_of(crop: Crop) -> st.SearchStrategy[Fruit]:
    def defect(kind_id: str) -> st.SearchStrategy[Defect]:
        measured = crop.kind(kind_id).measure
        if measured is Measured.AREA:
            return st.integers(1, 2000).map(lambda area: Defect(kind_id, area_mm2=area))
        if measured is Measured.SHARE:
            return st.integers(1, 10_000).map(lambda share: Defect(kind_id, share_bp=share))
        return st.just(Defect(kind_id))

    kinds = st.sampled_from([kind.id for kind in crop.kinds])
    stages: st.SearchStrategy[int | None] = st.sampled_from([None, *(stage.number for stage in crop.stages)])
    return st.builds(
        Fruit,
        weight_dg=st.integers(crop.lightest_dg, HEAVIEST_DG),
        stage=stages,
        defects=st.lists(kinds.flatmap(defect), max_size=3).map(tuple),
    )


@pytest.mark.parametrize("trade", trades(), ids=lambda trade: trade.spec.id)
def test_the_clean_full_sized_fruit_makes_the_best_class(trade: Trade) -> None:
    verdict = grade(trade.spec, trade.best, trade.tray)
    assert verdict.class_id == trade.spec.classes[0].id
    assert verdict.count is not None
    assert verdict.count.count == trade.tray.counts[0]


@pytest.mark.parametrize("trade", trades(), ids=lambda trade: trade.spec.id)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_no_other_fruit_is_worth_more(trade: Trade, data: st.DataObject) -> None:
    other = data.draw(fruit_of(trade.spec.crop))
    assert trade.worth(other) <= trade.worth(trade.best)
