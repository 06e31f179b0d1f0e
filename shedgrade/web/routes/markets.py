"""Markets: list, one with its prices, add, edit."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions.markets import MarketError, MarketFacts, add_market, change_market
from shedgrade.domain.currencies import currency
from shedgrade.domain.people import Deed
from shedgrade.domain.spec import library
from shedgrade.reports.market_fit import MarketFit, fit_of
from shedgrade.storage import markets, specs
from shedgrade.storage.markets import MarketWhole, TrayOfShed
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import SpecVersion
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import LARGEST, RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, say_day
from shedgrade.web.price_table import PriceListView, market_prices
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.stored_now import differing, stored_now
from shedgrade.web.whoami import MarketKeeper, MarketReader

router = APIRouter(prefix="/markets")

# A market takes few tray types; one place more than are filled is always offered.
_PLACES = 4
_FIELDS = ("name", "currency", "spec_version", "destination", "presentation", "tray-*", "version")


@dataclass(frozen=True, slots=True)
class MarketsView:
    """Every market, and how it goes with its spec."""

    title: str
    markets: list[tuple[MarketWhole, MarketFit]]
    may_keep: bool


@dataclass(frozen=True, slots=True)
class MarketView:
    """One market: how it goes with its spec, the price list in force, coming ones, older ones."""

    title: str
    market: MarketWhole
    fit: MarketFit
    in_force: PriceListView | None
    coming: list[PriceListView]
    older: list[PriceListView]
    may_keep: bool
    may_quote: bool


@dataclass(frozen=True, slots=True)
class MarketFormView:
    """The form for one market: what was typed, what is wrong, and what is stored now if somebody else saved. ``chosen``
    is the spec that the link to it has chosen and nobody saved yet. ``specs`` are those of each kind of fruit."""

    title: str
    action: str
    back: str
    specs: list[tuple[str, list[tuple[str, str]]]]
    trays: list[tuple[str, str]]
    places: int
    destinations: list[tuple[str, str]]
    presentations: list[tuple[str, str]]
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    version: int = 1
    stored_now: str = ""
    differs: Mapping[str, str] = field(default_factory=dict)
    chosen: str = ""


@router.get("")
def listed(request: Request, person: MarketReader, session: ReadSession, shed: CurrentShed) -> HTMLResponse:
    """All markets."""
    today = shed.clock.today()
    fitted = [(each, fit_of(session, each, today)) for each in markets.markets(session)]
    view = MarketsView("Markets", fitted, person.may(Deed.KEEP_MARKETS))
    return page(request, "markets/list.html", view)


@router.get("/new")
def new(request: Request, _person: MarketKeeper, session: ReadSession) -> HTMLResponse:
    """An empty form."""
    return page(request, "markets/form.html", _form(session, "A new market", "/markets", {}))


@router.post("", openapi_extra=publishes(*_FIELDS))
def add(request: Request, person: MarketKeeper, session: FormSession, posted: CurrentPosted) -> Response:
    """Take a market into the books."""
    answers = Answers(posted)
    facts = _facts(session, answers)
    if facts is not None:
        try:
            market = add_market(session, facts)
            return done(request, session, person, posted, f"/markets/{market.id}?done=market")
        except MarketError as mistake:
            answers.refuse(mistake.field, str(mistake))
    view = _form(session, "A new market", "/markets", posted, answers.errors)
    return page(request, "markets/form.html", view, status=422)


@router.get("/{market_id}")
def shown(
    request: Request, person: MarketReader, session: ReadSession, shed: CurrentShed, market_id: RowId
) -> HTMLResponse:
    """One market with its prices."""
    market = markets.market(session, market_id)
    in_force, coming, older = market_prices(session, market, shed.clock.today())
    may_keep, may_quote = person.may(Deed.KEEP_MARKETS), person.may(Deed.QUOTE)
    fit = fit_of(session, market, shed.clock.today())
    view = MarketView(market.market.name, market, fit, in_force, coming, older, may_keep, may_quote)
    return page(request, "markets/page.html", view)


@router.get("/{market_id}/edit")
def edit(
    request: Request,
    _person: MarketKeeper,
    session: ReadSession,
    market_id: RowId,
    spec_version: Annotated[int | None, Query(ge=1, le=LARGEST)] = None,
) -> HTMLResponse:
    """A market's form as it is stored, or with another version of its spec chosen, to be saved."""
    market = markets.market(session, market_id)
    row = market.market
    typed = _typed(market) | ({} if spec_version is None else {"spec_version": str(spec_version)})
    view = _form(session, row.name, f"/markets/{market_id}", typed, has=row.spec_version_id)
    offered = {key: name for _, of_fruit in view.specs for key, name in of_fruit}
    chosen = offered.get(typed["spec_version"], "") if spec_version not in (None, row.spec_version_id) else ""
    return page(request, "markets/form.html", replace(view, version=row.version, chosen=chosen))


@router.post("/{market_id}", openapi_extra=publishes(*_FIELDS))
def change(
    request: Request, person: MarketKeeper, session: FormSession, posted: CurrentPosted, market_id: RowId
) -> Response:
    """Save a market's facts."""
    market = markets.market(session, market_id)
    answers, has = Answers(posted), market.market.spec_version_id
    facts = _facts(session, answers, has)
    now_stored, status = "", 422
    if facts is not None:
        try:
            change_market(session, market.market, facts, answers.version())
            return done(request, session, person, posted, f"/markets/{market_id}?done=market")
        except MarketError as mistake:
            answers.refuse(mistake.field, str(mistake))
        except StaleError:
            now_stored, status = _stored_now(request, session, market_id), 409
    view = _form(
        session,
        market.market.name,
        f"/markets/{market_id}",
        posted,
        answers.errors,
        has=has,
    )
    version = market.market.version if now_stored else answers.version()
    view = replace(view, version=version, stored_now=now_stored)
    if now_stored:
        view = replace(view, differs=_differing(markets.market(session, market_id), posted))
    return page(request, "markets/form.html", view, status=status)


def _facts(session: FormSession, answers: Answers, has: int | None = None) -> MarketFacts | None:
    """``has`` is the version the market goes by, which stays on offer although it is retired."""
    name = answers.text("name", longest=80)
    code = answers.read("currency", currency)
    version = answers.choice("spec_version", {str(row.id): row for row in specs.offered(session, also=has)})
    wanted = specs.words_asked(session).get(str(version.id)) if version is not None else None
    destination = _word(answers, "destination", wanted.destinations if wanted else None)
    presentation = _word(answers, "presentation", wanted.presentations if wanted else None)
    known = {str(found.row.id): found.row.id or 0 for found in markets.tray_types(session)}
    chosen = [answers.choice(name, known, needed=False) for name in _tray_fields(_PLACES * 2)]
    if not answers.fine or code is None or version is None:
        return None
    trays = [tray_type_id for tray_type_id in chosen if tray_type_id is not None]
    return MarketFacts(name, code, version.id or 0, trays, destination, presentation)


def _word(answers: Answers, name: str, known: tuple[str, ...] | None) -> str:
    """A word the chosen spec knows; "" for none. ``known`` None: no spec was chosen, so nothing can be said of it."""
    word = answers.text(name, needed=False)
    if word and known is not None and word not in known:
        accepted = f"one of {', '.join(known)}, or none, is accepted" if known else "this spec asks for none"
        answers.refuse(name, f'The chosen spec does not know "{word}"; {accepted}.')
    return word


def _form(
    session: ReadSession,
    title: str,
    action: str,
    typed: Mapping[str, str],
    errors: Mapping[str, str] | None = None,
    *,
    has: int | None = None,
) -> MarketFormView:
    """The form; ``has`` is the version the market goes by, which stays on offer although it is retired."""
    wanted = specs.words_asked(session).values()
    filled = sum(bool(typed.get(name)) for name in _tray_fields(_PLACES * 2))
    return MarketFormView(
        title=title,
        action=action,
        back=action,
        specs=_by_fruit(specs.offered(session, also=has)),
        trays=[(str(found.row.id), _tray_name(found)) for found in markets.tray_types(session)],
        destinations=_words(each.destinations for each in wanted),
        presentations=_words(each.presentations for each in wanted),
        places=min(max(_PLACES, filled + 1), _PLACES * 2),
        typed=typed,
        errors=errors or {},
    )


def _by_fruit(rows: Iterable[SpecVersion]) -> list[tuple[str, list[tuple[str, str]]]]:
    groups = groupby(rows, key=lambda row: row.crop_id)
    return [(library.crops()[crop].name, [(str(row.id), _spec_name(row)) for row in found]) for crop, found in groups]


def _words(each: Iterable[tuple[str, ...]]) -> list[tuple[str, str]]:
    return [(word, word.capitalize()) for word in sorted({word for words in each for word in words})]


def _differing(market: MarketWhole, typed: Mapping[str, str]) -> dict[str, str]:
    """The tray types together: one moved up moves all below it."""
    stored, words = _typed(market), {"spec_version": _spec_name(market.spec_version)}
    differs = differing(typed, {name: stored[name] for name in ("name", "currency", "spec_version")}, words)
    trays = [stored[name] for name in _tray_fields(_PLACES * 2) if stored.get(name)]
    if trays != [typed[name] for name in _tray_fields(_PLACES * 2) if typed.get(name)]:
        differs["trays"] = ", ".join(tray.name for _, tray in market.trays) or "none"
    return differs


def _typed(market: MarketWhole) -> dict[str, str]:
    places = {f"tray-{place}": str(tray_type_id) for place, (tray_type_id, _) in enumerate(market.trays, start=1)}
    row = market.market
    facts = {"name": row.name, "currency": row.currency, "spec_version": str(row.spec_version_id)}
    return facts | {"destination": row.destination, "presentation": row.presentation} | places


def _stored_now(request: Request, session: FormSession, market_id: int) -> str:
    market = markets.market(session, market_id)
    trays = ", ".join(tray.name for _, tray in market.trays)
    row = market.market
    goes = [word for word in (row.destination, row.presentation) if word]
    said = ", ".join([row.name, row.currency, _spec_name(market.spec_version), *goes, trays])
    return stored_now(request, session, "market", market_id, said)


def _spec_name(row: SpecVersion) -> str:
    return f"{row.title}, version {row.version}"


def _tray_name(found: TrayOfShed) -> str:
    return f"{found.row.name}, in use from {say_day(found.row.valid_from)}"


def _tray_fields(places: int) -> list[str]:
    return [f"tray-{place}" for place in range(1, places + 1)]
