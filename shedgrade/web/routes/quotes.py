"""Quotes that were made: list, one as a printable sheet, withdrawal."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions.quotes import withdraw
from shedgrade.domain.spec import library
from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage import quotes
from shedgrade.storage.quote_sheets import QuoteWhole, quote_whole
from shedgrade.storage.quotes import QuoteInList, stands
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import Quote, QuoteLine
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession, Shed
from shedgrade.web.stored_now import stored_now
from shedgrade.web.whoami import Quoter

router = APIRouter(prefix="/quotes")


@dataclass(frozen=True, slots=True)
class QuotesView:
    """Standing quotes, then those that lapsed or were withdrawn."""

    title: str
    standing: list[QuoteInList]
    others: list[QuoteInList]


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line as it is shown: the class's name, and how far it goes beyond what could be promised and was likely."""

    line: QuoteLine
    class_name: str
    tray: TrayType
    line_minor: int
    unsure: int
    unlikely: int


@dataclass(frozen=True, slots=True)
class QuoteView:
    """One quote as a sheet."""

    title: str
    whole: QuoteWhole
    crop: str
    lines: list[SheetLine]
    made_on: date
    stands: bool
    picked: tuple[date, date]
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""

    @property
    def varieties(self) -> str:
        """The varieties it draws on, each once."""
        return ", ".join(dict.fromkeys(source.variety for source in self.whole.sources))

    @property
    def trays(self) -> list[TrayType]:
        """The tray types of its lines, each once."""
        return list(dict.fromkeys(line.tray for line in self.lines))


@router.get("")
def listed(request: Request, _person: Quoter, session: ReadSession, shed: CurrentShed) -> HTMLResponse:
    """Every quote."""
    every, today = quotes.quotes(session), shed.clock.today()
    standing = [each for each in every if stands(each.quote, today)]
    others = [each for each in every if not stands(each.quote, today)]
    return page(request, "quotes/list.html", QuotesView("Quotes", standing, others))


@router.get("/{quote_id}")
def shown(request: Request, _person: Quoter, session: ReadSession, shed: CurrentShed, quote_id: RowId) -> HTMLResponse:
    """One quote as it goes to the buyer, with what only the shed sees below."""
    return page(request, "quotes/page.html", _view(session, shed, quote_id))


@router.post("/{quote_id}/withdrawal", openapi_extra=publishes("reason", "version"))
def withdrawn(
    request: Request, person: Quoter, session: FormSession, shed: CurrentShed, posted: CurrentPosted, quote_id: RowId
) -> Response:
    """Take the quote back: what it held is free again."""
    quote = quotes.quote(session, quote_id)
    answers = Answers(posted)
    reason = answers.text("reason")
    notice, status = "", 422
    if answers.fine:
        try:
            withdraw(session, quote, reason, answers.version(), person.id, shed.clock.now())
            return done(request, session, person, posted, f"/quotes/{quote_id}")
        except StaleError:
            notice, status = stored_now(request, session, "quote", quote_id, _said(quote)), 409
    view = replace(_view(session, shed, quote_id), typed=posted, errors=answers.errors, notice=notice)
    return page(request, "quotes/page.html", view, status=status)


def _view(session: Session, shed: Shed, quote_id: int) -> QuoteView:
    whole = quote_whole(session, quote_id)
    crop = library.crops().get(whole.spec_version.crop_id)
    picked = [(shed.clock.local(each.picked_from), shed.clock.local(each.picked_to)) for each in whole.sources]
    return QuoteView(
        title=f"Quote {whole.quote.number}",
        whole=whole,
        crop=whole.spec_version.crop_id if crop is None else crop.name,
        lines=[_line(whole, line) for line in whole.lines],
        made_on=shed.clock.local(whole.quote.made_at).date(),
        stands=stands(whole.quote, shed.clock.today()),
        picked=(min(first for first, _ in picked).date(), max(last for _, last in picked).date()),
    )


def _said(quote: Quote) -> str:
    how = "withdrawn" if quote.withdrawn_at else "not withdrawn"
    return f"Quote {quote.number} is {how}. Your reason was not stored"


def _line(whole: QuoteWhole, line: QuoteLine) -> SheetLine:
    return SheetLine(
        line=line,
        class_name=whole.spec.grade_class(line.class_id).name,
        tray=whole.trays[line.tray_type_id],
        line_minor=line.trays * line.price_minor,
        unsure=max(0, line.trays - line.promised_trays),
        unlikely=max(0, line.trays - line.expected_trays),
    )
