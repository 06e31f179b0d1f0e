"""Making a quote: choose a market, then its consignments, then what of them is offered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse, Response
from pydantic import Field

from shedgrade.actions.quotes import QuoteFacts, make_quote
from shedgrade.domain import entry
from shedgrade.domain.people import Deed, Person
from shedgrade.reports.market_fit import MarketFit, fit_of
from shedgrade.reports.net import net_of
from shedgrade.reports.quote import Chosen, NotTogetherError, QuoteSheet, offers_of, quote_sheet
from shedgrade.storage import markets, quotes
from shedgrade.storage.intake import consignment_for, consignments_for
from shedgrade.storage.markets import MarketWhole
from shedgrade.storage.missing import MissingError
from shedgrade.storage.quotes import Quotable
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import LARGEST, row_id
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, say_day
from shedgrade.web.quote_form import QuoteRow, chosen_lines, doubt_lines, fewer_now, prefilled, rows
from shedgrade.web.second_look import SecondLook
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import Quoter

router = APIRouter(prefix="/quotes")

# Common practice; the marketer can type another.
BASES = ("Ex-shed", "FOB", "Delivered", "Market")
_VALID = timedelta(days=7)
_LONGEST = timedelta(days=366)
_FRESH = timedelta(days=30)
_FIELDS = publishes(
    "market",
    "tray",
    "buyer",
    "basis",
    "valid_until",
    "note",
    "look",
    "trays-*",
    "price-*",
    "sure-*",
    "seen-*",
    many=("consignment",),
)
_TICK = "Tick at least one consignment, then see what it can give."
_AN_ID, _ID = Query(ge=1, le=LARGEST), Field(ge=1, le=LARGEST)


@dataclass(frozen=True, slots=True)
class ChooseMarketView:
    """Every market, and how it goes with its spec."""

    title: str
    markets: Sequence[tuple[MarketWhole, MarketFit]]
    may_keep: bool


@dataclass(frozen=True, slots=True)
class PickLine:
    """A consignment to pick: its net weight, and the trays that standing quotes hold of it."""

    quotable: Quotable
    net_g: int
    held: int


@dataclass(frozen=True, slots=True)
class ChooseConsignmentsView:
    """A market's consignments: those that can be quoted, and those that can't yet."""

    title: str
    market: MarketWhole
    fit: MarketFit
    may_keep: bool
    ready: list[PickLine]
    not_ready: list[Quotable]
    chosen: Sequence[int]
    days: int | None
    problem: str = ""

    @property
    def tray_choices(self) -> list[tuple[int, str]]:
        """The market's tray types, to choose the one that the quote is packed in."""
        return [(tray_type_id, tray.name) for tray_type_id, tray in self.market.trays]


@dataclass(frozen=True, slots=True)
class QuoteFormView:
    """What can be offered, what was typed, what it comes to, and what is wrong. ``fewer`` are the lines that another
    quote took trays from meanwhile, ``asked`` those that want a second look, ``carried`` what the form holds of it."""

    title: str
    sheet: QuoteSheet
    fit: MarketFit
    may_keep: bool
    rows: list[QuoteRow]
    tray_sum: int
    total_minor: int
    typed: Mapping[str, str]
    errors: Mapping[str, str] = field(default_factory=dict)
    fewer: Sequence[str] = ()
    asked: Mapping[str, str] = field(default_factory=dict)
    carried: Mapping[str, str] = field(default_factory=dict)
    bases: Sequence[str] = BASES


@dataclass(frozen=True, slots=True)
class Asked:
    """What the address asks for: the choices made so far, all the market's consignments (``every``), or a look at
    the form as typed (``look``). ``picked`` says that consignments were to be ticked."""

    market_id: int | None
    ids: list[int]
    tray_type_id: int | None
    every: bool
    look: bool
    picked: bool


def asked(
    market: Annotated[int | None, _AN_ID] = None,
    consignment: Annotated[list[Annotated[int, _ID]] | None, Query()] = None,
    tray: Annotated[int | None, _AN_ID] = None,
    every: Annotated[str, Query()] = "",
    look: Annotated[str, Query()] = "",
    picked: Annotated[str, Query()] = "",
) -> Asked:
    """Read the address."""
    return Asked(market, consignment or [], tray, bool(every), bool(look), bool(picked))


@router.get("/new")
def new(
    request: Request, person: Quoter, session: ReadSession, shed: CurrentShed, query: Annotated[Asked, Depends(asked)]
) -> HTMLResponse:
    """The next thing to choose, or the form; with ``look`` the form as typed so far, worked out and not kept."""
    if query.market_id is None:
        today = shed.clock.today()
        fitted = [(each, fit_of(session, each, today)) for each in markets.markets(session)]
        view = ChooseMarketView("A new quote", fitted, person.may(Deed.KEEP_MARKETS))
        return page(request, "quotes/market.html", view)
    market = markets.market(session, query.market_id)
    if not query.ids:
        return _choose(request, person, session, market, every=query.every, problem=_TICK if query.picked else "")
    today = shed.clock.today()
    try:
        sheet = _sheet(session, person, market, query.ids, query.tray_type_id, today)
    except NotTogetherError as problem:
        return _choose(request, person, session, market, query.ids, every=True, problem=str(problem))
    typed = dict(request.query_params) if query.look else _first_typed(sheet, today)
    answers = Answers(typed)
    chosen = chosen_lines(sheet, answers)
    return page(
        request,
        "quotes/form.html",
        _view(session, person, sheet, chosen, typed, answers.errors if query.look else {}, today),
    )


@router.post("", openapi_extra=_FIELDS)
def add(request: Request, person: Quoter, session: FormSession, shed: CurrentShed, posted: CurrentPosted) -> Response:
    """Keep the quote under the next number."""
    market = markets.market(session, row_id(posted.get("market", "")))
    ids = [row_id(value) for value in posted.every("consignment")]
    quotes.hold_still(session, ids)
    today = shed.clock.today()
    try:
        sheet = _sheet(session, person, market, ids, row_id(posted.get("tray", "")), today)
    except NotTogetherError as problem:
        return _choose(request, person, session, market, ids, every=True, problem=str(problem))
    answers = Answers(posted)
    chosen = chosen_lines(sheet, answers)
    facts = _facts(sheet, chosen, answers, today)
    fewer, look = fewer_now(chosen, posted), SecondLook(posted)
    if facts is not None:
        doubt_lines(look, rows(sheet, chosen), chosen)
    if facts is not None and not fewer and not look.asked:
        quote = make_quote(session, facts, person.id, shed.clock.now())
        return done(request, session, person, posted, f"/quotes/{quote.id}")
    view = _view(session, person, sheet, chosen, posted, answers.errors, today)
    view = replace(view, fewer=fewer, asked=look.asked, carried=look.carried)
    return page(request, "quotes/form.html", view, status=422 if answers.errors else 409)


def _sheet(
    session: ReadSession, person: Person, market: MarketWhole, ids: Sequence[int], tray_type_id: int | None, today: date
) -> QuoteSheet:
    """The sheet of consignments of the market, each once; MissingError for any other."""
    wholes = [consignment_for(session, person, each) for each in dict.fromkeys(ids)]
    trays = dict(market.trays)
    if tray_type_id is None:
        tray_type_id = next(iter(trays), 0)
    if not wholes or tray_type_id not in trays or any(each.consignment.market_id != market.id for each in wholes):
        raise MissingError
    if voided := [each.name for each in wholes if each.voided]:
        raise NotTogetherError(f"{' and '.join(voided)} was voided and counts no longer. Choose among the others.")
    return quote_sheet(session, market, tray_type_id, wholes, today)


def _facts(sheet: QuoteSheet, chosen: Sequence[Chosen], answers: Answers, today: date) -> QuoteFacts | None:
    buyer = answers.text("buyer", longest=120)
    basis = answers.text("basis", longest=80)
    until = answers.read("valid_until", entry.date)
    note = answers.text("note", needed=False, longest=400)
    if until is not None:
        _refuse_day(answers, until, today)
    if not chosen:
        answers.refuse("lines", "Offer at least one tray.")
    if not answers.fine or until is None:
        return None
    return QuoteFacts(
        market_id=sheet.market.id,
        spec_version_id=sheet.spec_version.id or 0,
        currency=sheet.market.market.currency,
        tray_type_id=sheet.tray_type_id,
        buyer=buyer,
        basis=basis,
        note=note,
        valid_until=until,
        sources={source.whole.id: (source.n_fruit, source.n_draws) for source in sheet.sources},
        offers=offers_of(sheet, chosen),
    )


def _refuse_day(answers: Answers, until: date, today: date) -> None:
    if until < today:
        answers.refuse("valid_until", f"{say_day(until)} has passed. Choose today or a later day.")
    elif until - today > _LONGEST:
        answers.refuse("valid_until", f"{say_day(until)} is over a year away. Choose a nearer day.")


def _first_typed(sheet: QuoteSheet, today: date) -> dict[str, str]:
    return {"basis": BASES[0], "valid_until": f"{today + _VALID:%Y-%m-%d}"} | prefilled(sheet)


def _view(
    session: ReadSession,
    person: Person,
    sheet: QuoteSheet,
    chosen: Sequence[Chosen],
    typed: Mapping[str, str],
    errors: Mapping[str, str],
    today: date,
) -> QuoteFormView:
    return QuoteFormView(
        title=f"A quote for {sheet.market.market.name}",
        sheet=sheet,
        fit=fit_of(session, sheet.market, today),
        may_keep=person.may(Deed.KEEP_MARKETS),
        rows=rows(sheet, chosen),
        tray_sum=sum(line.trays for line in chosen),
        total_minor=sum(line.trays * line.price_minor for line in chosen),
        typed=typed,
        errors=errors,
    )


def _choose(
    request: Request,
    person: Person,
    session: ReadSession,
    market: MarketWhole,
    chosen: Sequence[int] = (),
    *,
    every: bool,
    problem: str = "",
) -> HTMLResponse:
    """The market's consignments of the last weeks, or all of them."""
    clock = request.app.state.shed.clock
    since = None if every else clock.now() - _FRESH
    found = quotes.quotable(session, market.id, since)
    ready = [each for each in found if each.ready]
    view = ChooseConsignmentsView(
        title=f"A quote for {market.market.name}",
        market=market,
        fit=fit_of(session, market, clock.today()),
        may_keep=person.may(Deed.KEEP_MARKETS),
        ready=_pick_lines(session, person, ready, clock.today(), since),
        not_ready=[each for each in found if not each.ready],
        chosen=chosen,
        days=None if every else _FRESH.days,
        problem=problem,
    )
    return page(request, "quotes/consignments.html", view, status=422 if request.method == "POST" else 200)


def _pick_lines(
    session: ReadSession, person: Person, ready: Sequence[Quotable], today: date, since: datetime | None
) -> list[PickLine]:
    held = quotes.standing_holds(session, [each.consignment_id for each in ready], today)
    net_g = {whole.id: net_of(whole).net_g for whole in consignments_for(session, person, since=since)} if ready else {}
    return [
        PickLine(each, net_g[each.consignment_id], sum(hold.trays for hold in held[each.consignment_id]))
        for each in ready
    ]
