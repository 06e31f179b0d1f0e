"""Price lists as tables: class by count for each tray type, and one row an outlet."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from shedgrade.domain.spec.model import GradeClass, Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage import markets, specs
from shedgrade.storage.markets import MarketWhole, Prices
from shedgrade.storage.tables import PriceList


@dataclass(frozen=True, slots=True)
class PricedTray:
    """A tray type with its prices by class and count; None where there is no price."""

    tray_type_id: int
    tray: TrayType
    classes: list[GradeClass]
    minor: dict[tuple[str, int], int]


@dataclass(frozen=True, slots=True)
class PriceListView:
    """One price list as it is shown; a tray type, class or outlet without any price is left out. ``number`` is its
    place among the market's lists in the order they were kept; ``replaced_by`` the number of the list from the same day
    that took its place, None while it counts."""

    number: int
    replaced_by: int | None
    prices: Prices
    trays: list[PricedTray]
    outlets: list[tuple[str, int]]


def tray_field(tray_type_id: int, class_id: str, count: int) -> str:
    """The name of a price's field in the form."""
    return f"tray-{tray_type_id}-{class_id}-{count}"


def outlet_field(outlet_id: str) -> str:
    """The name of an outlet's field in the form."""
    return f"outlet-{outlet_id}"


def tray_places(market: MarketWhole, spec: Spec) -> Iterator[tuple[int, str, int]]:
    """Every place for a price: tray type, class and count."""
    for tray_type_id, tray in market.trays:
        for each in spec.classes:
            for count in tray.counts:
                yield tray_type_id, each.id, count


def market_prices(
    session: Session, market: MarketWhole, today: date
) -> tuple[PriceListView | None, list[PriceListView], list[PriceListView]]:
    """The list in force, those to come (soonest first), and older or replaced ones (latest first)."""
    spec = specs.spec_in(market.spec_version)
    lists = markets.price_lists(session, market.id)
    numbers = {row.id: number for number, row in enumerate(sorted(lists, key=lambda row: row.id or 0), start=1)}
    counts = {row.valid_from: row for row in reversed(lists)}

    def view(row: PriceList) -> PriceListView:
        other = counts[row.valid_from]
        replaced_by = None if other is row else numbers[other.id]
        return _view(session, spec, markets.prices_of(session, row), numbers[row.id], replaced_by)

    begun = [row for row in counts.values() if row.valid_from <= today][-1:]
    coming = [row for row in counts.values() if row.valid_from > today]
    older = [row for row in lists if row not in (*begun, *coming)]
    return view(begun[0]) if begun else None, [view(row) for row in coming], [view(row) for row in older]


def _view(session: Session, spec: Spec, prices: Prices, number: int, replaced_by: int | None) -> PriceListView:
    ids = sorted({tray_type_id for tray_type_id, _, _ in prices.tray_minor})
    trays = [_priced(spec, tray_type_id, markets.tray_type(session, tray_type_id), prices) for tray_type_id in ids]
    names = {outlet.id: outlet.name for outlet in spec.outlets}
    outlets = sorted(
        prices.outlet_kg_minor.items(), key=lambda item: _place([outlet.id for outlet in spec.outlets], item[0])
    )
    return PriceListView(
        number, replaced_by, prices, trays, [(names.get(outlet_id, outlet_id), minor) for outlet_id, minor in outlets]
    )


def _priced(spec: Spec, tray_type_id: int, tray: TrayType, prices: Prices) -> PricedTray:
    minor = {key[1:]: price for key, price in prices.tray_minor.items() if key[0] == tray_type_id}
    names = {each.id: each for each in spec.classes}
    found = sorted({class_id for class_id, _ in minor}, key=lambda class_id: _place(list(names), class_id))
    # A class that a later version of the spec no longer has keeps its price; its id is all that is left of its name.
    return PricedTray(tray_type_id, tray, [names.get(key) or GradeClass(key, key) for key in found], minor)


def _place(among: Sequence[str], key: str) -> int:
    return among.index(key) if key in among else len(among)
