"""Whether a market still goes with its spec: whether a newer version is published, and whether its prices fit."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from shedgrade.domain.spec.model import Spec
from shedgrade.storage import markets, specs
from shedgrade.storage.markets import MarketWhole, Prices
from shedgrade.storage.tables import PriceList, SpecVersion


@dataclass(frozen=True, slots=True)
class MarketFit:
    """``newer`` is the newest version of its spec, if it buys under an older one. ``gone`` are the classes and outlets,
    by name, that the list in force has prices for and the spec has not; ``added`` those that the spec has and had not
    when the list was written."""

    newer: SpecVersion | None
    gone: Sequence[str]
    added: Sequence[str]

    @property
    def fits(self) -> bool:
        """Whether nothing is to be mended."""
        return self.newer is None and self.prices_fit

    @property
    def prices_fit(self) -> bool:
        """Whether the list in force goes with the spec."""
        return not self.gone and not self.added


def fit_of(session: Session, market: MarketWhole, today: date) -> MarketFit:
    """How a market goes with its spec today."""
    newer = specs.newer_than(session, market.spec_version)
    prices = markets.prices_in_force(session, market.id, today)
    if prices is None:
        return MarketFit(newer, (), ())
    spec = specs.spec_in(market.spec_version)
    written_for = session.get_one(PriceList, prices.price_list_id).spec_version_id
    before = spec if written_for is None else specs.spec_of(session, written_for)
    now, then = _names(spec), _names(before)
    return MarketFit(
        newer,
        [then.get(key, key[1]) for key in _priced(prices) if key not in now],
        [name for key, name in now.items() if key not in then and key not in _priced(prices)],
    )


def _names(spec: Spec) -> Mapping[tuple[str, str], str]:
    """What has a price: classes and outlets, by kind and id; of two kinds, because one id can be both."""
    classes = {("class", each.id): each.name for each in spec.classes}
    return classes | {("outlet", each.id): each.name for each in spec.outlets}


def _priced(prices: Prices) -> Collection[tuple[str, str]]:
    classes = {("class", class_id): None for _, class_id, _ in prices.tray_minor}
    return classes | {("outlet", outlet_id): None for outlet_id in prices.outlet_kg_minor}
