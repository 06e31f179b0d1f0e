"""Rows of a small season, hanging together: each function stores one thing and gives its id back."""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import NamedTuple

from sqlmodel import Session, SQLModel, col, func, select

from shedgrade.actions.people import add_person
from shedgrade.actions.specs import publish
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.storage import tables

RECEIVED = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)
TARES_WEIGHED = date(2026, 1, 1)
BIN_TARE_G = 40_000

_keys = count(1)


class Mark(NamedTuple):
    """A defect of a made-up fruit."""

    kind: str
    area_mm2: int | None = None
    share_bp: int | None = None
    states: str | None = None


def grower(session: Session, name: str = "Tallow Creek") -> int:
    return _stored(session, tables.Grower(name=name))


def block(session: Session, grower_id: int, name: str = "Ridge 3", crop_id: str = "mango") -> int:
    row = tables.Block(grower_id=grower_id, name=name, crop_id=crop_id, variety="Calypso", area_m2=21_000)
    return _stored(session, row)


def shed_person(session: Session, name: str = "Bench two", role: Role = Role.GRADER) -> int:
    """The shed's person of that name, made at first use."""
    found = session.exec(select(tables.PersonRow.id).where(tables.PersonRow.name == name)).first()
    return found or add_person(session, name, frozenset([role]), None)


def spec_version(session: Session, spec: Spec | None = None) -> int:
    return publish(session, spec or library.standards()["mango-codex-cxs184"], RECEIVED).id or 0


def tray_type(
    session: Session, net_g: int = 7000, counts: Sequence[int] = (14, 16, 18, 20), heaviest_dg: int | None = None
) -> int:
    row = tables.TrayTypeRow(
        name=f"{net_g // 1000} kg tray", crop_id="mango", net_g=net_g, heaviest_dg=heaviest_dg, valid_from=TARES_WEIGHED
    )
    tray_type_id = _stored(session, row)
    session.add_all(tables.TrayCount(tray_type_id=tray_type_id, count=each) for each in counts)
    session.flush()
    return tray_type_id


def market(session: Session, spec_version_id: int, trays: Sequence[int] = (), name: str = "Kestrow Markets") -> int:
    """A market that takes these trays, in this order."""
    market_id = _stored(session, tables.Market(name=name, currency="AUD", spec_version_id=spec_version_id))
    session.add_all(
        tables.MarketTray(market_id=market_id, tray_type_id=each, place=place)
        for place, each in enumerate(trays, start=1)
    )
    session.flush()
    return market_id


def price_list(
    session: Session,
    market_id: int,
    trays: Mapping[tuple[int, str, int], int],
    outlets: Mapping[str, int] | None = None,
    valid_from: date = TARES_WEIGHED,
) -> int:
    """Prices in cents: of trays by tray type, class and count; of a kilogram by outlet."""
    spec_version_id = session.get_one(tables.Market, market_id).spec_version_id
    kept = tables.PriceList(market_id=market_id, spec_version_id=spec_version_id, valid_from=valid_from)
    list_id = _stored(session, kept)
    for (tray_type_id, class_id, fruit_count), price in trays.items():
        session.add(
            tables.TrayPrice(
                price_list_id=list_id,
                tray_type_id=tray_type_id,
                class_id=class_id,
                count=fruit_count,
                price_minor=price,
            )
        )
    for outlet_id, price in (outlets or {}).items():
        session.add(tables.OutletPrice(price_list_id=list_id, outlet_id=outlet_id, kg_minor=price))
    session.flush()
    return list_id


def consignment(
    session: Session,
    block_id: int,
    market_id: int,
    *,
    bins_net_g: Sequence[int] = (400_000, 400_000),
    number: str = "1042",
    received_at: datetime = RECEIVED,
) -> int:
    """A consignment on a docket of its own, each bin weighed singly; a bin's empty weighs 40 kg."""
    docket_id = _stored(session, tables.Docket(number=number, received_at=received_at))
    person_id = shed_person(session, "Dock", Role.SUPERVISOR)
    spec_version_id = session.exec(select(tables.Market.spec_version_id).where(tables.Market.id == market_id)).one()
    row = tables.Consignment(
        docket_id=docket_id,
        line=1,
        block_id=block_id,
        market_id=market_id,
        spec_version_id=spec_version_id,
        picked_from=received_at - timedelta(hours=7),
        picked_to=received_at - timedelta(hours=2),
        received_at=received_at,
        received_by_id=person_id,
    )
    consignment_id = _stored(session, row)
    tare = _tare(session, person_id)
    for place, net_g in enumerate(bins_net_g, start=1):
        weighing = tables.Weighing(consignment_id=consignment_id, line=place, gross_g=net_g + BIN_TARE_G)
        weighing_id = _stored(session, weighing)
        session.add(
            tables.Bin(
                consignment_id=consignment_id,
                weighing_id=weighing_id,
                number=place,
                bin_type_id=tare.bin_type_id,
                tare_id=tare.id or 0,
            )
        )
    session.flush()
    return consignment_id


def bins_of(session: Session, consignment_id: int) -> list[int]:
    """The bins of a consignment in the order of their numbers."""
    query = select(tables.Bin.id).where(tables.Bin.consignment_id == consignment_id).order_by(col(tables.Bin.number))
    return [bin_id or 0 for bin_id in session.exec(query)]


def sample(
    session: Session,
    consignment_id: int,
    *,
    question: str = "intake",
    tray_type_id: int | None = None,
    looked_for: str = "",
) -> int:
    row = tables.Sample(
        consignment_id=consignment_id,
        question=question,
        tray_type_id=tray_type_id,
        looked_for=looked_for,
        started_at=RECEIVED,
        started_by_id=shed_person(session),
    )
    return _stored(session, row)


def draw(session: Session, sample_id: int, bin_id: int | None = None) -> int:
    """The next draw of a sample."""
    number = session.exec(select(func.count()).where(tables.Draw.sample_id == sample_id)).one() + 1
    return _stored(session, tables.Draw(sample_id=sample_id, number=number, turn=number, bin_id=bin_id))


def fruit(
    session: Session,
    draw_id: int,
    weight_dg: int,
    *marks: Mark,
    stage: int | None = None,
    size_code: str | None = None,
) -> int:
    """The next fruit of a draw's sample."""
    return _fruit(session, draw_id, [(weight_dg, marks)], stage=stage, size_code=size_code)[0]


def many_fruit(session: Session, draw_id: int, each: Sequence[tuple[int, Sequence[Mark]]]) -> list[int]:
    """The next fruit of a draw's sample, each a weight and its marks; stored together, which is much faster."""
    return _fruit(session, draw_id, each)


def _fruit(
    session: Session,
    draw_id: int,
    each: Sequence[tuple[int, Sequence[Mark]]],
    *,
    stage: int | None = None,
    size_code: str | None = None,
) -> list[int]:
    sample_id = session.exec(select(tables.Draw.sample_id).where(tables.Draw.id == draw_id)).one()
    before = session.exec(select(func.count()).where(tables.FruitRow.sample_id == sample_id)).one()
    person_id = shed_person(session)
    rows = [
        tables.FruitRow(
            sample_id=sample_id,
            draw_id=draw_id,
            number=number,
            weight_dg=weight_dg,
            stage=stage,
            size_code=size_code,
            entry_key=f"fruit-{next(_keys)}",
            measured_at=RECEIVED,
            measured_by_id=person_id,
        )
        for number, (weight_dg, _) in enumerate(each, start=before + 1)
    ]
    session.add_all(rows)
    session.flush()
    ids = [row.id or 0 for row in rows]
    for fruit_id, (_, marks) in zip(ids, each, strict=True):
        for place, mark in enumerate(marks, start=1):
            session.add(tables.FruitDefect(fruit_id=fruit_id, place=place, **mark._asdict()))
    session.flush()
    return ids


def void(session: Session, fruit_id: int) -> None:
    """Take a fruit out of the count."""
    row = session.get_one(tables.FruitRow, fruit_id)
    row.voided_at, row.voided_by_id, row.void_reason = RECEIVED, row.measured_by_id, "undone at the bench"
    session.add(row)
    session.flush()


def _tare(session: Session, person_id: int) -> tables.Tare:
    found = session.exec(select(tables.Tare)).first()
    if found is not None:
        return found
    bin_type_id = _stored(session, tables.BinType(name="Half-ton plastic"))
    row = tables.Tare(
        bin_type_id=bin_type_id,
        weighed_on=TARES_WEIGHED,
        state="dry",
        empties=5,
        total_g=5 * BIN_TARE_G,
        weighed_by_id=person_id,
    )
    _stored(session, row)
    return row


def _stored(session: Session, row: SQLModel) -> int:
    session.add(row)
    session.flush()
    stored_id: int = row.id  # type: ignore[attr-defined]
    return stored_id
