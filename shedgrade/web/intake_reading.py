"""Reading the form that receives fruit: what it offers, what was typed, and what is wrong with it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlmodel import Session

from shedgrade.actions.intake import ConsignmentFacts, DocketFacts, NumberTakenError, PickFacts
from shedgrade.domain import entry
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec import library
from shedgrade.domain.units import THIN, digits
from shedgrade.storage import growers, intake, markets
from shedgrade.storage.growers import BlockOfGrower
from shedgrade.storage.markets import MarketWhole
from shedgrade.storage.tables import BinType, Docket
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
from shedgrade.web.intake_doubts import odd_lines
from shedgrade.web.net_panel import NetPanel
from shedgrade.web.pages import say_moment
from shedgrade.web.weighing_rows import Scales, panel_for, read_weighings

_CLOCKS_DIFFER = timedelta(minutes=5)
_FIRST_YEAR = 2000
_COLDEST_DDEG, _HOTTEST_DDEG = -50, 600
_MOST_BINS = 999


@dataclass(frozen=True, slots=True)
class Offered:
    """What the form's lists hold, and whether who receives may see the markets' own page."""

    blocks: list[BlockOfGrower]
    markets: list[MarketWhole]
    bin_types: list[BinType]
    sees_markets: bool

    @property
    def block_options(self) -> list[tuple[int, str]]:
        """Blocks by grower and name."""
        return [(each.block.id or 0, f"{each.grower.name}, {each.block.name}") for each in self.blocks]

    @property
    def market_options(self) -> list[tuple[int, str]]:
        """Markets with the fruit they buy."""
        return [(each.id, f"{each.market.name} ({_fruit(each.spec_version.crop_id)})") for each in self.markets]

    @property
    def bin_type_options(self) -> list[tuple[int, str]]:
        """Bin types by name."""
        return [(each.id or 0, each.name) for each in self.bin_types]


@dataclass(frozen=True, slots=True)
class Received:
    """A form that was read without a mistake, and the net it comes to; no docket if that is there already."""

    docket: DocketFacts | None
    facts: ConsignmentFacts
    panel: NetPanel


def offered(session: Session, person: Person) -> Offered:
    """Blocks, markets and bin types to choose from."""
    return Offered(
        growers.blocks_for(session, person),
        markets.markets(session),
        intake.bin_types(session),
        person.may(Deed.SEE_MARKETS),
    )


def read_number(session: Session, answers: Answers) -> Docket | None:
    """Read the docket's number; the docket that has it already, which is refused."""
    number = answers.text("number", longest=30)
    taken = intake.docket_numbered(session, number)
    if taken is not None:
        answers.refuse("number", str(NumberTakenError(number, taken.id or 0)))
    return taken


def read_intake(
    session: Session, answers: Answers, lists: Offered, clock: Clock, *, on_docket: bool
) -> Received | None:
    """Everything on the form; None if anything was refused. ``on_docket``: the docket is there already."""
    truck = "" if on_docket else answers.text("truck", needed=False, longest=40)
    received_at = _moment(answers, "received", clock)
    block, market = _block_and_market(answers, lists)
    pick = read_pick(answers, clock, received_at)
    scales = _scales(session, lists, clock, received_at)
    weighings = read_weighings(answers, scales)
    if not answers.fine or not (block and market and pick and received_at):
        return None
    facts = ConsignmentFacts(
        block_id=block.block.id or 0,
        market_id=market.id,
        received_at=received_at,
        weighings=weighings,
        pick=pick,
    )
    docket = None if on_docket else DocketFacts(answers.text("number"), truck, received_at)
    panel = panel_for(weighings, scales)
    marks = odd_lines(session, weighings, panel, received_at)
    return Received(docket, facts, replace(panel, marks=marks))


def _block_and_market(answers: Answers, lists: Offered) -> tuple[BlockOfGrower | None, MarketWhole | None]:
    block = answers.choice("block", {str(each.block.id): each for each in lists.blocks})
    market = answers.choice("market", {str(each.id): each for each in lists.markets})
    if block and market and market.spec_version.crop_id != block.block.crop_id:
        grown, bought = _fruit(block.block.crop_id), _fruit(market.spec_version.crop_id)
        answers.refuse(
            "market",
            f"{market.market.name} has a spec for {bought}, and {block.block.name} grows {grown}; "
            f"a market for {grown} is accepted.",
        )
    return block, market


def read_pick(answers: Answers, clock: Clock, received_at: datetime | None) -> PickFacts | None:
    """What is written about the pick; None if its moments were refused."""
    picked_from, picked_to = _picked(answers, clock, received_at)
    team = answers.text("team", needed=False, longest=80)
    pulp_ddeg = answers.read("pulp", _pulp, needed=False)
    grower_bins = answers.read("grower-bins", _bin_count, needed=False)
    if picked_from is None or picked_to is None:
        return None
    return PickFacts(picked_from, picked_to, team, pulp_ddeg, grower_bins)


def _picked(answers: Answers, clock: Clock, received_at: datetime | None) -> tuple[datetime | None, datetime | None]:
    picked_from, picked_to = _moment(answers, "picked-from", clock), _moment(answers, "picked-to", clock)
    if picked_from and picked_to and picked_from > picked_to:
        answers.refuse(
            "picked-to",
            f"The pick ends before it begins, at {_said(clock, picked_from)}; that moment or a later one is accepted.",
        )
    if picked_to and received_at and picked_to > received_at:
        answers.refuse(
            "picked-to",
            f"The pick ends after the fruit was received, at {_said(clock, received_at)}; "
            "that moment or an earlier one is accepted.",
        )
    return picked_from, picked_to


def _moment(answers: Answers, name: str, clock: Clock) -> datetime | None:
    wall = answers.read(name, _not_to_come(clock))
    return None if wall is None else clock.stored(wall)


def _not_to_come(clock: Clock) -> Callable[[str], datetime]:
    """Reads a moment that is over; a shed's clocks may differ a little."""

    def parse(text: str) -> datetime:
        wall = entry.moment(text)
        now = clock.local(clock.now()).replace(tzinfo=None)
        if wall.year < _FIRST_YEAR:
            raise ValueError(f"{wall:%Y} is long ago; a year from {_FIRST_YEAR} on is accepted.")
        if wall > now + _CLOCKS_DIFFER:
            raise ValueError(
                f"{say_moment(wall)} is still to come; it is {say_moment(now)} now, and up to that is accepted."
            )
        return wall

    return parse


def _pulp(text: str) -> int:
    pulp_ddeg = entry.temperature(text)
    if not _COLDEST_DDEG <= pulp_ddeg <= _HOTTEST_DDEG:
        raise ValueError(
            f"{digits(pulp_ddeg // 10)}{THIN}°C is no temperature of fruit just picked; "
            f"{digits(_COLDEST_DDEG // 10)} to {digits(_HOTTEST_DDEG // 10)}{THIN}°C is accepted."
        )
    return pulp_ddeg


def _bin_count(text: str) -> int:
    return entry.whole(text, least=1, most=_MOST_BINS)


def _scales(session: Session, lists: Offered, clock: Clock, received_at: datetime | None) -> Scales:
    types = {str(each.id): each for each in lists.bin_types}
    if received_at is None:
        return Scales(types, {}, None)
    day = clock.local(received_at).date()
    return Scales(types, intake.tares_in_force(session, day), day)


def _said(clock: Clock, moment: datetime) -> str:
    return say_moment(clock.local(moment))


def _fruit(crop_id: str) -> str:
    crop = library.crops().get(crop_id)
    return crop.name.lower() if crop else crop_id
