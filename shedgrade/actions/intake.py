"""Receiving fruit: bin types and tares, a truck's docket, its consignments, and the wet empties after tipping."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime

from sqlalchemy import func
from sqlmodel import Session, select

from shedgrade.actions.voiding import void
from shedgrade.domain.names import name_among
from shedgrade.domain.net import BinGroup, IntakeNet, intake_net
from shedgrade.domain.net import Tare as MeanTare
from shedgrade.storage import quotes
from shedgrade.storage.history import tell
from shedgrade.storage.intake import ConsignmentWhole, docket_numbered, mean_tare
from shedgrade.storage.runs import standing_runs
from shedgrade.storage.stale import change_of
from shedgrade.storage.tables import (
    Bin,
    BinType,
    Block,
    Consignment,
    Docket,
    EmptiesWeighing,
    Market,
    Quote,
    SpecVersion,
    Tare,
    Weighing,
)


class NameTakenError(ValueError):
    """Another bin type has this name already."""


class NumberTakenError(ValueError):
    """Another docket has this number already; ``docket_id`` is that one."""

    def __init__(self, number: str, docket_id: int) -> None:
        """Name the number and the docket that has it."""
        super().__init__(
            f"Docket {number} is in the books already. Give another number, or put this consignment on that docket."
        )
        self.docket_id = docket_id


class WrongFruitError(ValueError):
    """The market's spec is for another fruit than the block grows."""


class AlreadyWeighedError(ValueError):
    """The wet empties of this bin type were weighed for this consignment already."""


class NothingLeftError(ValueError):
    """What was weighed leaves no fruit."""


class HeldError(ValueError):
    """Standing quotes hold trays of the consignment; ``quotes`` are these."""

    def __init__(self, standing: Sequence[Quote]) -> None:
        """Name the quotes."""
        named = " and ".join(f"quote {each.number} to {each.buyer}" for each in standing)
        stand = "stands and holds" if len(standing) == 1 else "stand and hold"
        withdrawn = "it is" if len(standing) == 1 else "they are"
        super().__init__(
            f"{named[0].upper()}{named[1:]} {stand} trays of this consignment. It can be voided once {withdrawn} "
            "withdrawn, by the marketer or the shed manager."
        )
        self.quotes = standing


@dataclass(frozen=True, slots=True)
class TareFacts:
    """So many empties of a bin type weighed together on a day, dry or wet."""

    weighed_on: date
    empties: int
    total_g: int
    wet: bool = False


@dataclass(frozen=True, slots=True)
class DocketFacts:
    """What stands on top of a truck's paper."""

    number: str
    truck: str
    received_at: datetime


@dataclass(frozen=True, slots=True)
class WeighingFacts:
    """So many bins of one type that stood on the scale together, and the dry tare taken off for them.

    ``labels`` go to the bins in order, the rest stay without; ``part`` marks the last of the bins as a part bin.
    """

    bins: int
    bin_type_id: int
    tare_id: int
    gross_g: int
    labels: tuple[str, ...] = ()
    part: bool = False


@dataclass(frozen=True, slots=True)
class PickFacts:
    """What is written about a pick, and may be put right later: nothing of it is weighed or changes what is paid.
    ``pulp_ddeg`` in tenths of a degree Celsius."""

    picked_from: datetime
    picked_to: datetime
    team: str = ""
    pulp_ddeg: int | None = None
    grower_bins: int | None = None


@dataclass(frozen=True, slots=True)
class ConsignmentFacts:
    """The fruit of one block and one pick, as it was received."""

    block_id: int
    market_id: int
    received_at: datetime
    weighings: tuple[WeighingFacts, ...]
    pick: PickFacts


def add_bin_type(session: Session, name: str) -> BinType:
    """Take a kind of bin into the books; NameTakenError if the name is there already."""
    other = name_among(name, session.exec(select(BinType.name)))
    if other is not None:
        raise NameTakenError(f"There is a bin type called {other} already. Give another name.")
    bin_type = BinType(name=name)
    session.add(bin_type)
    session.flush()
    return bin_type


def add_tare(session: Session, bin_type_id: int, facts: TareFacts, weighed_by_id: int) -> Tare:
    """Write down a weighing of empties."""
    tare = Tare(
        bin_type_id=bin_type_id,
        weighed_on=facts.weighed_on,
        state="wet" if facts.wet else "dry",
        empties=facts.empties,
        total_g=facts.total_g,
        weighed_by_id=weighed_by_id,
    )
    session.add(tare)
    session.flush()
    return tare


def add_docket(session: Session, facts: DocketFacts) -> Docket:
    """Open a truck's docket; NumberTakenError if the number is in the books already."""
    taken = docket_numbered(session, facts.number)
    if taken is not None:
        raise NumberTakenError(facts.number, taken.id or 0)
    docket = Docket(number=facts.number, truck=facts.truck, received_at=facts.received_at)
    session.add(docket)
    session.flush()
    return docket


def add_consignment(session: Session, docket_id: int, facts: ConsignmentFacts, received_by_id: int) -> Consignment:
    """Receive a consignment on a docket, under the market's spec of today, its bins numbered from 1 in the order of
    the weighings. WrongFruitError if that spec is for another fruit than the block grows, ValueError if there is no
    bin, or bins that weigh no more than their empties."""
    _refuse_without_net(session, facts.weighings)
    market = session.get_one(Market, facts.market_id)
    _refuse_wrong_fruit(session, market, session.get_one(Block, facts.block_id))
    consignment = Consignment(
        docket_id=docket_id,
        line=_next_line(session, docket_id),
        block_id=facts.block_id,
        market_id=facts.market_id,
        spec_version_id=market.spec_version_id,
        destination=market.destination,
        presentation=market.presentation,
        received_at=facts.received_at,
        received_by_id=received_by_id,
        **asdict(facts.pick),
    )
    bins, gross_g = (sum(getattr(each, name) for each in facts.weighings) for name in ("bins", "gross_g"))
    tell(consignment, bins=bins, gross_g=gross_g)
    session.add(consignment)
    session.flush()
    _add_bins(session, consignment.id or 0, facts.weighings)
    return consignment


def net_with_empties(whole: ConsignmentWhole, bin_type: str, facts: TareFacts) -> IntakeNet:
    """The net as wet empties of the type of this name would correct it; NothingLeftError if no fruit would be left."""
    wet = MeanTare(bin_type, facts.weighed_on, facts.empties, facts.total_g, wet=facts.wet)
    try:
        return intake_net(whole.groups, (*whole.wet_tares, wet))
    except ValueError as mistake:
        raise NothingLeftError(f"The wet empties leave no fruit: {mistake}.") from mistake


def weigh_empties(
    session: Session, whole: ConsignmentWhole, bin_type_id: int, facts: TareFacts, weighed_at: datetime, by_id: int
) -> EmptiesWeighing:
    """Write down the wet empties of a consignment, which corrects its net.

    AlreadyWeighedError on a second time, NothingLeftError if no fruit would be left.
    """
    if _empties_weighed(session, whole.id, bin_type_id):
        raise AlreadyWeighedError("The wet empties of this bin type were weighed already, and that weighing stands.")
    net_with_empties(whole, session.get_one(BinType, bin_type_id).name, facts)
    tare = add_tare(session, bin_type_id, facts, by_id)
    row = EmptiesWeighing(consignment_id=whole.id, bin_type_id=bin_type_id, tare_id=tare.id or 0, weighed_at=weighed_at)
    tell(row, empties=facts.empties, total_g=facts.total_g)
    session.add(row)
    session.flush()
    return row


def change_docket(session: Session, docket: Docket, number: str, truck: str, reason: str, version: int) -> None:
    """Put a docket's number and truck right. NumberTakenError if another docket has the number, StaleError if somebody
    saved meanwhile."""
    taken = docket_numbered(session, number)
    if taken is not None and taken.id != docket.id:
        raise NumberTakenError(number, taken.id or 0)
    change_of(docket, version)
    docket.number, docket.truck = number, truck
    tell(docket, why=reason)
    session.add(docket)


def change_pick(session: Session, consignment: Consignment, facts: PickFacts, reason: str, version: int) -> None:
    """Put right what is written about a consignment's pick; StaleError if somebody saved meanwhile."""
    change_of(consignment, version)
    for name, value in asdict(facts).items():
        setattr(consignment, name, value)
    tell(consignment, why=reason)
    session.add(consignment)


class PackedError(ValueError):
    """The consignment stands in runs that count."""

    def __init__(self, run_ids: Sequence[int]) -> None:
        """Say what to do first."""
        some = "a run that counts" if len(run_ids) == 1 else f"{len(run_ids)} runs that count"
        super().__init__(
            f"This consignment is in {some}. Void that first, under Runs, if it was started by mistake: then this can "
            "be voided."
        )


def void_consignment(
    session: Session, consignment: Consignment, reason: str, person_id: int, now: datetime, today: date
) -> bool:
    """Make a consignment count no longer, as ``voiding.void`` does. Load it after ``quotes.hold_still``.

    HeldError while a quote that stands today holds trays of it, PackedError while a run of it counts."""
    if consignment.voided_at is None and (standing := quotes.holding(session, consignment.id or 0, today)):
        raise HeldError(standing)
    if consignment.voided_at is None and (packed := standing_runs(session, consignment.id or 0)):
        raise PackedError(packed)
    return void(session, consignment, reason, person_id, now)


def _empties_weighed(session: Session, consignment_id: int, bin_type_id: int) -> bool:
    """The consignment is locked first, so that of two weighings saved at once one is refused in words."""
    session.exec(select(Consignment).where(Consignment.id == consignment_id).with_for_update()).one()
    query = select(EmptiesWeighing.id).where(
        EmptiesWeighing.consignment_id == consignment_id, EmptiesWeighing.bin_type_id == bin_type_id
    )
    return session.exec(query).first() is not None


def _refuse_without_net(session: Session, weighings: Sequence[WeighingFacts]) -> None:
    if not weighings:
        raise ValueError("a consignment has at least one bin")
    for facts in weighings:
        BinGroup(facts.bins, facts.gross_g, mean_tare(session.get_one(Tare, facts.tare_id), ""))


def _refuse_wrong_fruit(session: Session, market: Market, block: Block) -> None:
    spec = session.get_one(SpecVersion, market.spec_version_id)
    if spec.crop_id != block.crop_id:
        raise WrongFruitError(f"{market.name} buys {spec.crop_id}, and {block.name} grows {block.crop_id}.")


def _next_line(session: Session, docket_id: int) -> int:
    """The docket is locked first, so that two consignments saved at once get a line each."""
    session.exec(select(Docket).where(Docket.id == docket_id).with_for_update()).one()
    last = session.exec(select(func.max(Consignment.line)).where(Consignment.docket_id == docket_id)).one()
    return (last or 0) + 1


def _add_bins(session: Session, consignment_id: int, weighings: Sequence[WeighingFacts]) -> None:
    number = 0
    for line, facts in enumerate(weighings, 1):
        weighing = Weighing(consignment_id=consignment_id, line=line, gross_g=facts.gross_g)
        session.add(weighing)
        session.flush()
        labels = (*facts.labels, *[""] * facts.bins)[: facts.bins]
        for place, label in enumerate(labels, 1):
            number += 1
            session.add(
                Bin(
                    consignment_id=consignment_id,
                    weighing_id=weighing.id or 0,
                    number=number,
                    label=label,
                    bin_type_id=facts.bin_type_id,
                    tare_id=facts.tare_id,
                    part=facts.part and place == facts.bins,
                )
            )
    session.flush()
