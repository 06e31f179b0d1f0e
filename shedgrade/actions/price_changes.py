"""Which prices of a new list differ from the list before, each under the name people know it by."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from sqlmodel import Session

from shedgrade.storage import markets, specs
from shedgrade.storage.markets import MarketWhole, Prices

PriceChange = tuple[str, int | None, int | None]
TrayPlace = tuple[int, str, int]


def price_changes(
    session: Session,
    market: MarketWhole,
    before: Prices,
    tray_minor: Mapping[TrayPlace, int],
    outlets: Mapping[str, int],
) -> list[PriceChange]:
    """Name, price before and price now in minor units; None where there is none."""
    spec = specs.spec_in(market.spec_version)
    names = {each.id: each.name for each in spec.classes} | {each.id: each.name for each in spec.outlets}
    trays = {found.row.id: found.tray.name for found in markets.tray_types(session)}

    def tray_place(place: TrayPlace) -> str:
        tray_type_id, class_id, count = place
        return f"{names.get(class_id, class_id)} {count}s in {trays[tray_type_id]}"

    def outlet(outlet_id: str) -> str:
        return f"a kilogram to {names.get(outlet_id, outlet_id)}"

    return [
        *_different(before.tray_minor, tray_minor, tray_place),
        *_different(before.outlet_kg_minor, outlets, outlet),
    ]


def _different(
    before: Mapping[Any, int], after: Mapping[Any, int], called: Callable[[Any], str]
) -> Iterator[PriceChange]:
    for place in {**before, **after}:
        old, new = before.get(place), after.get(place)
        if old != new:
            yield called(place), old, new
