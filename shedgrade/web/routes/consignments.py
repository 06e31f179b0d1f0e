"""Consignments: what came in, day by day, and one consignment with everything that hangs on it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from itertools import groupby

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain import entry
from shedgrade.domain.crop import TakenOn
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec import library
from shedgrade.domain.units import THIN, digits, say_mass
from shedgrade.reports.net import net_of
from shedgrade.reports.sample import ConsignmentSamples, consignment_samples
from shedgrade.storage import intake, photos, quick_looks, runs, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.runs import RunHead
from shedgrade.web.clock import Clock
from shedgrade.web.ids import RowId
from shedgrade.web.net_panel import NetPanel, bin_count_words, panel_of
from shedgrade.web.pages import page, say_day
from shedgrade.web.photo_view import FaultPhotos, by_fault
from shedgrade.web.quick_look_view import LookLine, look_lines
from shedgrade.web.state import CurrentShed, ReadSession, the_shed
from shedgrade.web.voiding import Voiding
from shedgrade.web.whoami import CurrentPerson, ShedPerson

router = APIRouter(prefix="/consignments")

_DAYS_SHOWN = timedelta(days=14)
_G_PER_T = 1_000_000


@dataclass(frozen=True, slots=True)
class ConsignmentLine:
    """A consignment in the list: its net now, and how many fruit of its samples stand."""

    whole: ConsignmentWhole
    net_g: int
    fruit: int


@dataclass(frozen=True, slots=True)
class ConsignmentsView:
    """Consignments by the day they were received, newest first; ``earlier`` is the day before the first shown."""

    title: str
    answer: str
    days: list[tuple[date, list[ConsignmentLine]]]
    earlier: date | None
    may_receive: bool


@dataclass(frozen=True, slots=True)
class ConsignmentView:
    """One consignment: facts, net, samples, and the form that voids it."""

    title: str
    answer: str
    whole: ConsignmentWhole
    panel: NetPanel
    bin_counts: str
    samples: ConsignmentSamples
    quick_looks: list[LookLine]
    photos: list[FaultPhotos]
    may_receive: bool
    may_quote: bool
    sees_shed: bool
    runs: list[RunHead]
    may_run: bool
    voiding: Voiding

    @property
    def pulp(self) -> str:
        """The pulp temperature as people say it, "" if it was not taken."""
        return say_temperature(self.whole.consignment.pulp_ddeg)

    @property
    def tests_maturity(self) -> bool:
        """Whether anything is read of this fruit in a maturity test."""
        crop = library.crops()[self.whole.block.crop_id]
        return any(measure.on is not TakenOn.FRUIT for measure in crop.measures)

    @property
    def untipped(self) -> bool:
        """Whether the wet empties of a bin type are still to be weighed."""
        return not self.whole.voided and len(self.whole.empties) < len({each.bin_type_id for each in self.whole.bins})


@router.get("")
def listed(
    request: Request, person: ShedPerson, session: ReadSession, shed: CurrentShed, until: str = ""
) -> HTMLResponse:
    """Two weeks of consignments, up to the last one received or up to a day."""
    end = _end(until, shed.clock)
    newest = intake.consignments_for(session, person, before=end, most=1)
    if not newest:
        nothing = ConsignmentsView("Consignments", "Nothing received yet", [], None, person.may(Deed.RECEIVE))
        return page(request, "consignments/list.html", nothing)
    last = shed.clock.local(newest[0].consignment.received_at).date()
    since = _midnight(shed.clock, last + timedelta(days=1) - _DAYS_SHOWN)
    lines = _lines(session, intake.consignments_for(session, person, since=since, before=end))
    has_earlier = bool(intake.consignments_for(session, person, before=since, most=1))
    view = ConsignmentsView(
        "Consignments",
        _week_words(lines, shed.clock) if not until else _span_words(lines, shed.clock),
        list(_by_day(lines, shed.clock)),
        last - _DAYS_SHOWN if has_earlier else None,
        person.may(Deed.RECEIVE),
    )
    return page(request, "consignments/list.html", view)


@router.get("/{consignment_id}")
def shown(request: Request, person: CurrentPerson, session: ReadSession, consignment_id: RowId) -> HTMLResponse:
    """One consignment."""
    return consignment_page(request, session, person, intake.consignment_for(session, person, consignment_id))


def consignment_page(
    request: Request,
    session: Session,
    person: Person,
    whole: ConsignmentWhole,
    voiding: Voiding | None = None,
    *,
    status: int = 200,
) -> HTMLResponse:
    """The page of one consignment; ``voiding`` is a form that was refused."""
    panel = panel_of(whole)
    view = ConsignmentView(
        title=f"Consignment {whole.name}",
        answer=_answer(whole, panel),
        whole=whole,
        panel=panel,
        bin_counts=bin_count_words(whole.consignment.grower_bins, panel.net.bins),
        samples=consignment_samples(session, whole, may_grade=person.may(Deed.GRADE) and not whole.voided),
        quick_looks=_quick_looks(session, whole),
        photos=_photos(request, session, person, whole),
        may_receive=person.may(Deed.RECEIVE),
        may_quote=person.may(Deed.QUOTE) and not whole.voided,
        sees_shed=person.may(Deed.SEE_SHED),
        runs=runs.runs_for(session, person, consignment_id=whole.id),
        may_run=person.may(Deed.RUN_LINE) and not whole.voided,
        voiding=voiding or Voiding(),
    )
    return page(request, "consignments/page.html", view, status=status)


def _quick_looks(session: Session, whole: ConsignmentWhole) -> list[LookLine]:
    looks = quick_looks.looks_of(session, [whole.id]).get(whole.id, [])
    return look_lines(looks, specs.spec_of(session, whole.consignment.spec_version_id)) if looks else []


def _photos(request: Request, session: Session, person: Person, whole: ConsignmentWhole) -> list[FaultPhotos]:
    taken = photos.photos_of(session, [whole.id]).get(whole.id, [])
    return by_fault(taken, library.crops()[whole.block.crop_id], person, the_shed(request).clock.local)


def say_temperature(ddeg: int | None) -> str:
    """A temperature in tenths of a degree as people say it; "" for none."""
    return "" if ddeg is None else f"{digits(Fraction(ddeg, 10), 1)}{THIN}°C"


def _answer(whole: ConsignmentWhole, panel: NetPanel) -> str:
    bins = "1 bin" if panel.net.bins == 1 else f"{panel.net.bins} bins"
    return (
        f"{say_mass(panel.net.net_g)} of {whole.block.variety} from {whole.grower.name}, {whole.block.name}, in {bins}"
    )


def _lines(session: Session, wholes: list[ConsignmentWhole]) -> list[ConsignmentLine]:
    fruit = intake.fruit_counts(session, [whole.id for whole in wholes])
    return [ConsignmentLine(whole, net_of(whole).net_g, fruit.get(whole.id, 0)) for whole in wholes]


def _by_day(lines: list[ConsignmentLine], clock: Clock) -> Iterator[tuple[date, list[ConsignmentLine]]]:
    for day, some in groupby(lines, key=lambda line: _day(line, clock)):
        yield day, list(some)


def _week_words(lines: list[ConsignmentLine], clock: Clock) -> str:
    today = clock.today()
    monday = today - timedelta(days=today.weekday())
    this_week = [line for line in lines if _day(line, clock) >= monday]
    return (
        f"{_received_words(this_week)} this week"
        if any(not line.whole.voided for line in this_week)
        else "Nothing received this week yet"
    )


def _span_words(lines: list[ConsignmentLine], clock: Clock) -> str:
    return f"{_received_words(lines)} from {say_day(_day(lines[-1], clock))} to {say_day(_day(lines[0], clock))}"


def _received_words(lines: list[ConsignmentLine]) -> str:
    """Voided ones are shown and never counted."""
    nets_g = [line.net_g for line in lines if not line.whole.voided]
    if not nets_g:
        return "Nothing that counts was received"
    tonnes = digits(Fraction(sum(nets_g), _G_PER_T), 1, trim=True)
    count = "1 consignment" if len(nets_g) == 1 else f"{len(nets_g)} consignments"
    return f"{count}, {tonnes}{THIN}t received"


def _day(line: ConsignmentLine, clock: Clock) -> date:
    return clock.local(line.whole.consignment.received_at).date()


def _end(until: str, clock: Clock) -> datetime | None:
    """The end of the day named in the address; nothing, or no day, means up to now."""
    try:
        return _midnight(clock, entry.date(until) + timedelta(days=1))
    except (ValueError, OverflowError):
        return None


def _midnight(clock: Clock, day: date) -> datetime:
    return clock.stored(datetime.combine(day, time()))
