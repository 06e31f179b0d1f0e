"""A market's next price list: one form, filled from the list in force."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions.prices import PriceFacts, PriceListError, add_prices
from shedgrade.domain import entry
from shedgrade.domain.currencies import typed_amount
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import say_amount
from shedgrade.storage import markets, specs
from shedgrade.storage.markets import MarketWhole, Prices
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import PriceList
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, say_day
from shedgrade.web.price_doubts import doubt_day, doubt_prices
from shedgrade.web.price_table import outlet_field, tray_field, tray_places
from shedgrade.web.prices import kilogram_price, price
from shedgrade.web.second_look import SecondLook
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.stored_now import stored_now
from shedgrade.web.whoami import MarketKeeper

router = APIRouter(prefix="/markets")


@dataclass(frozen=True, slots=True)
class PriceFormView:
    """The form for a market's next price list. ``asked`` are fields that want a second look, ``carried`` what the form
    holds of it."""

    title: str
    market: MarketWhole
    spec: Spec
    in_force: Prices | None
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    asked: Mapping[str, str] = field(default_factory=dict)
    carried: Mapping[str, str] = field(default_factory=dict)
    version: int = 1
    stored_now: str = ""
    differs: Mapping[str, str] = field(default_factory=dict)


@router.get("/{market_id}/prices/new")
def new(
    request: Request, _person: MarketKeeper, session: ReadSession, shed: CurrentShed, market_id: RowId
) -> HTMLResponse:
    """The form, filled from the list in force."""
    market = markets.market(session, market_id)
    in_force = markets.prices_in_force(session, market_id, shed.clock.today())
    typed = {"valid_from": f"{shed.clock.today():%Y-%m-%d}"} | _typed(in_force)
    view = replace(_view(market, in_force, typed), version=markets.price_version(session, market_id))
    return page(request, "markets/prices.html", view)


@router.post(
    "/{market_id}/prices", openapi_extra=publishes("valid_from", "note", "tray-*", "outlet-*", "seen-*", "version")
)
def add(
    request: Request,
    person: MarketKeeper,
    session: FormSession,
    shed: CurrentShed,
    posted: CurrentPosted,
    market_id: RowId,
) -> Response:
    """Keep the next price list; prices that are likely a slip come back once."""
    market, today = markets.market(session, market_id), shed.clock.today()
    in_force = markets.prices_in_force(session, market_id, today)
    answers, look = Answers(posted), SecondLook(posted)
    facts, now_stored, differs = _facts(market, answers), "", {}
    if facts is not None:
        doubt_day(look, facts, in_force, today)
        doubt_prices(look, facts, in_force, specs.spec_in(market.spec_version))
    if facts is not None and not look.asked:
        try:
            add_prices(session, market_id, facts, today, answers.version())
            return done(request, session, person, posted, f"/markets/{market_id}")
        except PriceListError as mistake:
            answers.refuse(mistake.field, str(mistake))
        except StaleError:
            now_stored, differs = _stored_now(request, session, market_id), _differing(session, market_id, facts)
    view = replace(
        _view(market, in_force, posted, answers.errors),
        asked=look.asked,
        carried=look.carried,
        version=markets.price_version(session, market_id) if now_stored else answers.version(),
        stored_now=now_stored,
        differs=differs,
    )
    return page(request, "markets/prices.html", view, status=422 if answers.errors else 409)


def _stored_now(request: Request, session: Session, market_id: int) -> str:
    last = _last(session, market_id)
    if last is None:  # the form came with a version that no market has been at
        return "No price list is kept yet"
    prices = markets.prices_of(session, last)
    count = len(prices.tray_minor) + len(prices.outlet_kg_minor)
    said = f"{count} {'price' if count == 1 else 'prices'} from {say_day(last.valid_from)}"
    return stored_now(request, session, "price list", last.id or 0, said)


def _last(session: Session, market_id: int) -> PriceList | None:
    """The list that was kept last, whatever day it begins on."""
    return max(markets.price_lists(session, market_id), key=lambda row: row.id or 0, default=None)


def _differing(session: Session, market_id: int, facts: PriceFacts) -> dict[str, str]:
    """By field what the list kept last holds, where another day, note or price was typed."""
    last = _last(session, market_id)
    if last is None:
        return {}
    prices = markets.prices_of(session, last)
    stored = _minor(prices.tray_minor, prices.outlet_kg_minor)
    typed = _minor(facts.tray_minor, facts.outlet_kg_minor)
    differs = {
        name: say_amount(stored[name], prices.currency) if name in stored else "no price"
        for name in (*stored, *typed)
        if stored.get(name) != typed.get(name)
    }
    if last.valid_from != facts.valid_from:
        differs["valid_from"] = say_day(last.valid_from)
    if last.note != facts.note:
        differs["note"] = last.note or "nothing"
    return differs


def _minor(trays: Mapping[tuple[int, str, int], int], outlets: Mapping[str, int]) -> dict[str, int]:
    return {tray_field(*place): minor for place, minor in trays.items()} | {
        outlet_field(key): minor for key, minor in outlets.items()
    }


def _facts(market: MarketWhole, answers: Answers) -> PriceFacts | None:
    spec, code = specs.spec_in(market.spec_version), market.market.currency
    begins = answers.read("valid_from", entry.date)
    note = answers.text("note", needed=False)
    trays = {
        place: answers.read(tray_field(*place), partial(price, currency=code), needed=False)
        for place in tray_places(market, spec)
    }
    outlets = {
        outlet.id: answers.read(outlet_field(outlet.id), partial(kilogram_price, currency=code), needed=False)
        for outlet in spec.outlets
    }
    if not answers.fine or begins is None:
        return None
    return PriceFacts(
        begins,
        note,
        {place: minor for place, minor in trays.items() if minor is not None},
        {outlet_id: minor for outlet_id, minor in outlets.items() if minor is not None},
    )


def _view(
    market: MarketWhole, in_force: Prices | None, typed: Mapping[str, str], errors: Mapping[str, str] | None = None
) -> PriceFormView:
    spec = specs.spec_in(market.spec_version)
    return PriceFormView(f"Next prices for {market.market.name}", market, spec, in_force, typed, errors or {})


def _typed(prices: Prices | None) -> dict[str, str]:
    if prices is None:
        return {}
    trays = {tray_field(*place): typed_amount(minor, prices.currency) for place, minor in prices.tray_minor.items()}
    outlets = {outlet_field(key): typed_amount(minor, prices.currency) for key, minor in prices.outlet_kg_minor.items()}
    return trays | outlets
