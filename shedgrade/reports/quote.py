"""What a market's consignments can offer: trays by class and count, expected and promised, at the list's prices."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from shedgrade.domain.offer import Offer, PriceOrigin
from shedgrade.domain.promise import CONFIDENCE, Held, Promise, held_from, promise, room_for, shared_out
from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.reports.net import net_of
from shedgrade.reports.packout import promised_cells
from shedgrade.storage import markets, quotes, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.markets import MarketWhole, Prices
from shedgrade.storage.tables import SpecVersion

Key = tuple[str, int]


class NotTogetherError(ValueError):
    """Consignments that no one quote can draw on; the text is the sentence."""


@dataclass(frozen=True, slots=True)
class Source:
    """A consignment of the sheet: what each class and count can give, what is held, and how many trays it has room for.

    ``n_fruit`` and ``n_draws`` were looked at.
    """

    whole: ConsignmentWhole
    net_g: int
    n_fruit: int
    n_draws: int
    estimates: Mapping[Key, Estimate]
    held: Sequence[Held]
    room: int


@dataclass(frozen=True, slots=True)
class Cell:
    """One class and count: what can be promised, and the price of the list in force (None without one)."""

    class_id: str
    class_name: str
    count: int
    promise: Promise
    list_minor: int | None

    def says(self) -> str:
        """As a marketer says it aloud."""
        name, likely = f"{self.class_name} {self.count}s", self.promise.likely
        if self.promise.promised:
            return f"I can give you {self.promise.promised} of the {name} for certain; likely about {likely}."
        return f"I can't give you any {name} for certain; likely about {likely}."

    def beside(self) -> str:
        """What only the shed should know of it; "" for nothing."""
        held = self.promise.held
        return f"other quotes hold {held} more" if held else ""


@dataclass(frozen=True, slots=True)
class Chosen:
    """Trays of a cell that somebody wants to offer, at a price for one tray."""

    cell: Cell
    trays: int
    price_minor: int


@dataclass(frozen=True, slots=True)
class QuoteSheet:
    """Everything a quote can be made from. ``cells`` are those found in a sample or held, best class and biggest fruit
    first; ``nothing_of`` are the others. ``room`` is the most trays the consignments could fill by weight."""

    market: MarketWhole
    tray_type_id: int
    tray: TrayType
    spec: Spec
    spec_version: SpecVersion
    prices: Prices | None
    sources: tuple[Source, ...]
    cells: tuple[Cell, ...]
    nothing_of: tuple[tuple[str, int], ...]

    @property
    def room(self) -> int:
        """The most trays that all consignments could fill, less what is held."""
        return sum(source.room for source in self.sources)

    @property
    def net_g(self) -> int:
        """What the consignments weighed when they came in."""
        return sum(source.net_g for source in self.sources)

    @property
    def n_fruit(self) -> int:
        """The fruit looked at."""
        return sum(source.n_fruit for source in self.sources)

    @property
    def n_draws(self) -> int:
        """The draws (bins) they came from."""
        return sum(source.n_draws for source in self.sources)

    @property
    def best(self) -> Cell | None:
        """The cell with most to promise, else with most to expect."""
        return max(self.cells, key=lambda cell: (cell.promise.promised, cell.promise.likely), default=None)


def quote_sheet(
    session: Session, market: MarketWhole, tray_type_id: int, wholes: Sequence[ConsignmentWhole], today: date
) -> QuoteSheet:
    """What these consignments of the market can give in this tray type; NotTogetherError."""
    tray = dict(market.trays)[tray_type_id]
    version = _one_version(session, wholes)
    spec = specs.spec_in(version)
    sources = _sources(session, tray, wholes, today)
    prices = markets.prices_in_force(session, market.id, today)
    every = [_cell(spec, tray, tray_type_id, sources, prices, key) for key in _keys(spec, tray, sources)]
    return QuoteSheet(
        market=market,
        tray_type_id=tray_type_id,
        tray=tray,
        spec=spec,
        spec_version=version,
        prices=prices,
        sources=sources,
        cells=tuple(cell for cell in every if _is_something(cell)),
        nothing_of=tuple((cell.class_name, cell.count) for cell in every if not _is_something(cell)),
    )


def offers_of(sheet: QuoteSheet, chosen: Sequence[Chosen]) -> tuple[Offer, ...]:
    """The trays of each line put on the sheet's consignments by :func:`.promise.shared_out`, line after line."""
    room = {source.whole.id: source.room for source in sheet.sources}
    offers = []
    for line in chosen:
        offer = _offer(sheet, line, room)
        room = {key: left - offer.holds.get(key, 0) for key, left in room.items()}
        offers.append(offer)
    return tuple(offers)


def _offer(sheet: QuoteSheet, line: Chosen, room: Mapping[int, int]) -> Offer:
    cell = line.cell
    alone = [_promise_of(sheet.tray, [source], (cell.class_id, cell.count)) for source in sheet.sources]
    holds = shared_out(
        line.trays, [each.promised for each in alone], [each.likely for each in alone], list(room.values())
    )
    return Offer(
        class_id=cell.class_id,
        count=cell.count,
        trays=line.trays,
        price_minor=line.price_minor,
        price_origin=PriceOrigin.LIST if line.price_minor == cell.list_minor else PriceOrigin.TYPED,
        likely=cell.promise.likely,
        promised=cell.promise.promised,
        holds={key: held for key, held in zip(room, holds, strict=True) if held},
    )


def _one_version(session: Session, wholes: Sequence[ConsignmentWhole]) -> SpecVersion:
    versions = {whole.consignment.spec_version_id for whole in wholes}
    if len(versions) != 1:
        raise NotTogetherError("These consignments came in under different specs or versions. Quote them apart.")
    return specs.version(session, versions.pop())


def _sources(session: Session, tray: TrayType, wholes: Sequence[ConsignmentWhole], today: date) -> tuple[Source, ...]:
    ids = [whole.id for whole in wholes]
    held, looked_at = quotes.standing_holds(session, ids, today), quotes.looked_at(session, ids)
    sources = []
    for whole in wholes:
        net_g = net_of(whole).net_g
        if whole.id not in looked_at or not net_g:
            raise NotTogetherError(f"{whole.name} was not weighed or has no intake sample. Leave it out for now.")
        estimates = promised_cells(session, whole, tray, CONFIDENCE)
        n_fruit, n_draws = looked_at[whole.id]
        room = room_for(tray, net_g, held[whole.id])
        sources.append(Source(whole, net_g, n_fruit, n_draws, estimates, held[whole.id], room))
    return tuple(sources)


def _keys(spec: Spec, tray: TrayType, sources: Sequence[Source]) -> list[Key]:
    """Every class with every count, then what else was found in trays."""
    asked = [(each.id, count) for each in spec.classes for count in tray.counts]
    found = sorted(key for source in sources for key in source.estimates)
    return list(dict.fromkeys([*asked, *found]))


def _cell(
    spec: Spec, tray: TrayType, tray_type_id: int, sources: Sequence[Source], prices: Prices | None, key: Key
) -> Cell:
    return Cell(
        class_id=key[0],
        class_name=spec.grade_class(key[0]).name,
        count=key[1],
        promise=_promise_of(tray, sources, key),
        list_minor=None if prices is None else prices.tray_minor.get((tray_type_id, *key)),
    )


def _promise_of(tray: TrayType, sources: Sequence[Source], key: Key) -> Promise:
    estimates = [source.estimates[key] for source in sources if key in source.estimates]
    return promise(estimates, held_from(tray, *key, (hold for source in sources for hold in source.held)))


def _is_something(cell: Cell) -> bool:
    return cell.promise.expected > 0 or cell.promise.held > 0
