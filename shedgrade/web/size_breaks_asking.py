"""Size breaks asked for: the fruit of one or more consignments, what the form says, and what is found."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.domain.settings import SIZER_ERROR, SIZER_STEP
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.breaks import Breaks
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.units import say_day, say_weight
from shedgrade.reports.judging import intake_fruit, judge
from shedgrade.reports.size_breaks import BreaksReport, breaks_report, class_weights
from shedgrade.storage import loads, markets, settings
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.markets import MarketWhole, Prices
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
from shedgrade.web.size_breaks_form import DEFAULTS, Asked, class_options, read_asked, texts_with_tolerance
from shedgrade.web.size_breaks_view import BreaksPart, answer_of, breaks_found, few_fruit

Draws = tuple[tuple[int, ...], ...]
_NO_FRUIT = "No fruit drawn before sorting was measured yet: take some from several bins first."
_NO_TRAY = "The market packs no tray yet. A shed manager gives it one under Markets."
_NONE_OF_CLASS = "None of the fruit looked at makes this class. Choose another."


@dataclass(frozen=True, slots=True)
class PricesOf:
    """The prices that count, and whose they are."""

    prices: Prices
    market: str

    def says(self) -> str:
        """Whose, and since when."""
        return f"prices of {self.market} from {say_day(self.prices.valid_from)}"


@dataclass(frozen=True, slots=True)
class Asking:
    """What breaks are asked for: the loads, judged under a spec, in these tray types. ``in_force`` are the breaks in
    force by tray type; ``closed`` says why nothing can be asked."""

    action: str
    loads: tuple[ConsignmentWhole, ...]
    spec: Spec
    trays: Mapping[str, TrayType]
    prices: PricesOf | None
    day: date
    in_force: Mapping[str, Breaks] = field(default_factory=dict)
    closed: str = ""
    no_tray: str = _NO_TRAY


@dataclass(frozen=True, slots=True)
class Found:
    """The part of the page, and what it was drawn from where breaks were found."""

    part: BreaksPart
    asked: Asked | None = None
    draws: Draws = ()
    report: BreaksReport | None = None


def trays_of(market: MarketWhole) -> dict[str, TrayType]:
    """The tray types of a market, by the key that the form has."""
    return {str(tray_id): tray for tray_id, tray in market.trays}


def prices_for(session: Session, person: Person, clock: Clock, wholes: tuple[ConsignmentWhole, ...]) -> PricesOf | None:
    """The prices of the loads' market on the day the first came in, for those who see prices; None where they go to
    several markets, which pay differently."""
    if not person.may(Deed.SEE_MARKETS) or len({whole.market.id for whole in wholes}) != 1:
        return None
    received_on = clock.local(wholes[0].consignment.received_at).date()
    prices = markets.prices_in_force(session, wholes[0].market.id or 0, received_on)
    return None if prices is None else PricesOf(prices, wholes[0].market.name)


def asked_of(session: Session, asking: Asking, query: Mapping[str, str]) -> Found:
    """What a query asks of the loads, and what is found; mistakes stand beside their fields."""
    answers = Answers(_start(session, asking) | dict(query))
    prices = None if asking.prices is None else asking.prices.prices
    part = BreaksPart(
        asking.action,
        typed=answers.typed,
        errors=answers.errors,
        trays=tuple((key, tray.name) for key, tray in asking.trays.items()),
        classes=tuple(class_options(asking.spec)),
        texts=tuple(texts_with_tolerance()),
        has_prices=prices is not None,
        closed=asking.closed or ("" if asking.trays else asking.no_tray),
    )
    if part.closed:
        return Found(part)
    fruit = intake_fruit(session, [whole.id for whole in asking.loads])
    if not fruit:
        return Found(replace(part, closed=_NO_FRUIT))
    asked = read_asked(answers, asking.spec, asking.trays, prices)
    if asked is None:
        return Found(part)
    draws = tuple(
        draw
        for load_id, by_bin in fruit.items()
        for draw in class_weights(
            judge(asking.spec, by_bin, asked.tray, loads.load_of(session, load_id)), asked.class_ids
        )
    )
    if not draws:
        answers.refuse("class", _NONE_OF_CLASS)
        return Found(part)
    return _found(asking, part, asked, draws)


def _start(session: Session, asking: Asking) -> dict[str, str]:
    return DEFAULTS | {
        "tray": next(iter(asking.trays), ""),
        "class": asking.spec.classes[0].id,
        "step": str(settings.in_force(session, SIZER_STEP, asking.day)),
        "error": str(settings.in_force(session, SIZER_ERROR, asking.day)),
    }


def _found(asking: Asking, part: BreaksPart, asked: Asked, draws: Draws) -> Found:
    report = breaks_report(draws, asked.packing, asked.day_g, asking.in_force.get(asked.tray.id))
    prices = asking.prices if asked.in_money else None
    shown = replace(
        part,
        answer=answer_of(report),
        few=few_fruit(report),
        found=breaks_found(report, asked.day_g, "" if prices is None else prices.prices.currency),
        priced="" if prices is None else prices.says(),
        error_found="" if asked.found_error_dg is None else say_weight(asked.found_error_dg),
    )
    return Found(shown, asked, draws, report)
