"""What came in: bin types and tares, dockets, consignments with their bins, each grower's own only."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any, TypeVar

import sqlalchemy
from sqlalchemy import ColumnElement, func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from shedgrade.domain import net
from shedgrade.domain.odd_bins import BinsNet
from shedgrade.domain.people import Deed, Doer, Person
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import (
    Bin,
    BinType,
    Block,
    Consignment,
    Docket,
    EmptiesWeighing,
    FruitRow,
    Grower,
    Market,
    PersonRow,
    Sample,
    Tare,
    Weighing,
)

Part = TypeVar("Part", Bin, EmptiesWeighing, Weighing)
_Head = tuple[Consignment, Docket, Block, Grower, Market, Doer, Doer | None]


@dataclass(frozen=True, slots=True)
class ConsignmentWhole:
    """A consignment with everything written about its intake; weighings and bins in the order they were weighed.

    ``tares`` and ``bin_types`` hold, by id, those that its bins and its wet empties name. ``voided_by`` is None while
    the consignment stands.
    """

    consignment: Consignment
    docket: Docket
    block: Block
    grower: Grower
    market: Market
    received_by: Doer
    voided_by: Doer | None
    weighings: tuple[Weighing, ...]
    bins: tuple[Bin, ...]
    empties: tuple[EmptiesWeighing, ...]
    tares: Mapping[int, Tare]
    bin_types: Mapping[int, BinType]

    @property
    def id(self) -> int:
        """The consignment's id."""
        return self.consignment.id or 0

    @property
    def name(self) -> str:
        """The docket's number and the line on it: 1042-1."""
        return f"{self.docket.number}-{self.consignment.line}"

    @property
    def voided(self) -> bool:
        """Whether it was voided: it stays to be seen, and counts nowhere."""
        return self.consignment.voided_at is not None

    def bins_of(self, weighing: Weighing) -> tuple[Bin, ...]:
        """The bins that stood on the scale together."""
        return tuple(each for each in self.bins if each.weighing_id == weighing.id)

    @property
    def groups(self) -> tuple[net.BinGroup, ...]:
        """The weighings as the arithmetic takes them; bins weighed together are of one type and one tare."""
        together = [(weighing, self.bins_of(weighing)) for weighing in self.weighings]
        return tuple(net.BinGroup(len(bins), each.gross_g, self._mean(bins[0].tare_id)) for each, bins in together)

    @property
    def wet_tares(self) -> tuple[net.Tare, ...]:
        """The wet empties weighed after tipping, as the arithmetic takes them."""
        return tuple(self._mean(row.tare_id) for row in self.empties)

    def _mean(self, tare_id: int) -> net.Tare:
        tare = self.tares[tare_id]
        return mean_tare(tare, self.bin_types[tare.bin_type_id].name)


def mean_tare(tare: Tare, bin_type: str) -> net.Tare:
    """A stored tare as the arithmetic takes it; ``bin_type`` is the type's name."""
    return net.Tare(bin_type, tare.weighed_on, tare.empties, tare.total_g, wet=tare.state == "wet")


@dataclass(frozen=True, slots=True)
class TareTaken:
    """A tare, as stored and as the arithmetic takes it, and who weighed it."""

    row: Tare
    mean: net.Tare
    weighed_by: str


@dataclass(frozen=True, slots=True)
class BinTypeTares:
    """A bin type with the tares taken of its empties, newest first; wet empties of consignments are left out."""

    bin_type: BinType
    tares: tuple[TareTaken, ...]

    def of(self, row: Tare | None) -> TareTaken | None:
        """One of them by its row."""
        return next((each for each in self.tares if row is not None and each.row.id == row.id), None)


@dataclass(frozen=True, slots=True)
class DocketWhole:
    """A docket with those of its consignments that the person may see, in order."""

    docket: Docket
    consignments: tuple[ConsignmentWhole, ...]


def consignment_for(session: Session, person: Person, consignment_id: int) -> ConsignmentWhole:
    """One consignment; MissingError if there is none this person may see."""
    found = _wholes(session, person, col(Consignment.id) == consignment_id)
    if not found:
        raise MissingError
    return found[0]


def consignments_for(
    session: Session,
    person: Person,
    *,
    block_id: int | None = None,
    since: datetime | None = None,
    before: datetime | None = None,
    most: int | None = None,
) -> list[ConsignmentWhole]:
    """The consignments this person may see, newest first: of one block, or received from ``since`` on and before
    ``before``, at most so many. Six queries, however many there are."""
    where = []
    if block_id is not None:
        where.append(col(Consignment.block_id) == block_id)
    if since is not None:
        where.append(col(Consignment.received_at) >= since)
    if before is not None:
        where.append(col(Consignment.received_at) < before)
    return _wholes(session, person, *where, most=most)


def consignments_with(session: Session, person: Person, ids: Collection[int]) -> list[ConsignmentWhole]:
    """Those of these consignments that this person may see, newest first; six queries, however many they are."""
    return _wholes(session, person, col(Consignment.id).in_(ids))


def docket_for(session: Session, person: Person, docket_id: int) -> DocketWhole:
    """One docket; MissingError if there is none, or none with a consignment of this grower."""
    docket = session.get(Docket, docket_id)
    if docket is None:
        raise MissingError
    found = _wholes(session, person, col(Consignment.docket_id) == docket_id)
    if not found and not person.may(Deed.SEE_SHED):
        raise MissingError
    return DocketWhole(docket, tuple(sorted(found, key=lambda whole: whole.consignment.line)))


def docket_numbered(session: Session, number: str) -> Docket | None:
    """The docket with this number, if it is in the books."""
    return session.exec(select(Docket).where(Docket.number == number)).first()


def bin_types(session: Session) -> list[BinType]:
    """All bin types, by name."""
    return list(session.exec(select(BinType).order_by(BinType.name)))


def bin_type(session: Session, bin_type_id: int) -> BinType:
    """One bin type; MissingError if there is none."""
    found = session.get(BinType, bin_type_id)
    if found is None:
        raise MissingError
    return found


def bin_types_with_tares(session: Session) -> list[BinTypeTares]:
    """All bin types with the tares taken of them."""
    of_consignments = select(EmptiesWeighing.tare_id)
    query = (
        select(Tare, BinType.name, PersonRow.name)
        .join(BinType)
        .join(PersonRow, col(PersonRow.id) == col(Tare.weighed_by_id))
        .where(col(Tare.id).not_in(of_consignments))
        .order_by(col(Tare.weighed_on).desc(), col(Tare.id).desc())
    )
    by_type: dict[int, list[TareTaken]] = defaultdict(list)
    for tare, type_name, person_name in session.exec(query):
        by_type[tare.bin_type_id].append(TareTaken(tare, mean_tare(tare, type_name), person_name))
    return [BinTypeTares(each, tuple(by_type[each.id or 0])) for each in bin_types(session)]


def tares_in_force(session: Session, day: date) -> dict[int, Tare]:
    """By bin type id, the latest dry tare weighed on or before the day; of two on one day, the later entered."""
    query = select(Tare).where(Tare.state == "dry", Tare.weighed_on <= day).order_by(col(Tare.weighed_on), col(Tare.id))
    return {tare.bin_type_id: tare for tare in session.exec(query)}


def bins_weighed(session: Session, since: datetime, before: datetime) -> dict[int, list[BinsNet]]:
    """By bin type id, the weighings of full bins on consignments that stand, received from ``since`` on and before
    ``before``, each with its net by the dry tare it was received with. One query."""
    parts = func.sum(sqlalchemy.case((col(Bin.part), 1), else_=0))
    query = (
        sqlalchemy.select(
            col(Weighing.gross_g), func.count(), func.min(Bin.bin_type_id), col(Tare.total_g), col(Tare.empties)
        )
        .join(Bin, col(Bin.weighing_id) == Weighing.id)
        .join(Tare, col(Tare.id) == Bin.tare_id)
        .join(Consignment, col(Consignment.id) == Weighing.consignment_id)
        .where(col(Consignment.voided_at).is_(None))
        .where(col(Consignment.received_at) >= since, col(Consignment.received_at) < before)
        .group_by(col(Weighing.id), col(Weighing.gross_g), col(Tare.id), col(Tare.total_g), col(Tare.empties))
        .having(parts == 0)
    )
    weighed: dict[int, list[BinsNet]] = defaultdict(list)
    for gross_g, bins, bin_type_id, total_g, empties in session.execute(query):
        weighed[bin_type_id].append(BinsNet(bins, gross_g - bins * Fraction(total_g, empties)))
    return weighed


def fruit_counts(session: Session, consignment_ids: Iterable[int]) -> dict[int, int]:
    """By consignment id, how many fruit of its samples stand (voided ones do not); none is left out, one query."""
    query = (
        select(Sample.consignment_id, func.count())
        .join(FruitRow, col(FruitRow.sample_id) == col(Sample.id))
        .where(col(Sample.consignment_id).in_(tuple(consignment_ids)))
        .where(col(Sample.voided_at).is_(None), col(FruitRow.voided_at).is_(None))
        .group_by(col(Sample.consignment_id))
    )
    return dict(session.exec(query).all())


def _heads(session: Session, person: Person, where: Sequence[ColumnElement[bool]], most: int | None) -> list[_Head]:
    voider = aliased(PersonRow)
    query = (
        sqlalchemy.select(
            Consignment,
            Docket,
            Block,
            Grower,
            Market,
            col(PersonRow.name),
            col(PersonRow.grower_id),
            col(voider.name),
            col(voider.grower_id),
        )
        .join(Docket, col(Docket.id) == Consignment.docket_id)
        .join(Block, col(Block.id) == Consignment.block_id)
        .join(Grower, col(Grower.id) == Block.grower_id)
        .join(Market, col(Market.id) == Consignment.market_id)
        .join(PersonRow, col(PersonRow.id) == Consignment.received_by_id)
        .join(voider, col(voider.id) == Consignment.voided_by_id, isouter=True)
        .where(*where)
        .order_by(col(Consignment.received_at).desc(), col(Consignment.id).desc())
        .limit(most)
    )
    if not person.may(Deed.SEE_SHED):
        query = query.where(col(Block.grower_id) == (person.grower_id or 0))
    return [
        (*row[:5], Doer(row[5], row[6]), Doer(row[7], row[8]) if row[7] else None) for row in session.execute(query)
    ]


def _wholes(
    session: Session, person: Person, *where: ColumnElement[bool], most: int | None = None
) -> list[ConsignmentWhole]:
    found = _heads(session, person, where, most)
    ids = [consignment.id or 0 for consignment, *_ in found]
    weighings = _parts(session, Weighing, ids, col(Weighing.line))
    bins = _parts(session, Bin, ids, col(Bin.number))
    empties = _parts(session, EmptiesWeighing, ids, col(EmptiesWeighing.id))
    tares = _tares(session, bins) | _tares(session, empties)
    types = {each.id or 0: each for each in bin_types(session)} if tares else {}

    def whole(head: _Head) -> ConsignmentWhole:
        key = head[0].id or 0
        named = [row.tare_id for row in bins[key]] + [row.tare_id for row in empties[key]]
        mine = {tare_id: tares[tare_id] for tare_id in named}
        my_types = {tare.bin_type_id: types[tare.bin_type_id] for tare in mine.values()}
        return ConsignmentWhole(*head, tuple(weighings[key]), tuple(bins[key]), tuple(empties[key]), mine, my_types)

    return [whole(head) for head in found]


def _parts(session: Session, table: type[Part], ids: list[int], by: Any) -> dict[int, list[Part]]:
    parts: dict[int, list[Part]] = defaultdict(list)
    if ids:
        for row in session.exec(select(table).where(col(table.consignment_id).in_(ids)).order_by(by)):
            parts[row.consignment_id].append(row)
    return parts


def _tares(session: Session, rows: Mapping[int, Sequence[Bin | EmptiesWeighing]]) -> dict[int, Tare]:
    ids = {row.tare_id for some in rows.values() for row in some}
    if not ids:
        return {}
    return {tare.id or 0: tare for tare in session.exec(select(Tare).where(col(Tare.id).in_(ids)))}
