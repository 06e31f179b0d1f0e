"""Bin types and their dated tares."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import TareFacts
from shedgrade.domain import entry
from shedgrade.domain.people import Deed
from shedgrade.domain.units import say_mass
from shedgrade.storage import intake
from shedgrade.storage.intake import BinTypeTares, TareTaken
from shedgrade.storage.tables import BinType
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, say_day
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import Receiver, ShedPerson

router = APIRouter(prefix="/bins")

_MOST_EMPTIES = 500
# An empty is a lug of half a kilogram at the least and a bulk bin far under half a tonne: outside, a slip of the hand.
_LIGHTEST_EMPTY_G, _HEAVIEST_EMPTY_G = 500, 500_000
_STATES = {"dry": False, "wet": True}


@dataclass(frozen=True, slots=True)
class BinsView:
    """The bin types with their tares, each with the one in force today, if any."""

    title: str
    answer: str
    types: list[tuple[BinTypeTares, TareTaken | None]]
    may_receive: bool


@dataclass(frozen=True, slots=True)
class BinTypeFormView:
    """The form for a new bin type."""

    title: str
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class TareFormView:
    """The form for a weighing of empties of one type."""

    title: str
    bin_type: BinType
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@router.get("")
def listed(request: Request, person: ShedPerson, session: ReadSession, shed: CurrentShed) -> HTMLResponse:
    """All bin types with their tares, newest first."""
    types = intake.bin_types_with_tares(session)
    in_force = intake.tares_in_force(session, shed.clock.today())
    with_tare = [(each, each.of(in_force.get(each.bin_type.id or 0))) for each in types]
    view = BinsView("Bins and tares", _answer(with_tare), with_tare, person.may(Deed.RECEIVE))
    return page(request, "bins/list.html", view)


@router.get("/new")
def new(request: Request, _person: Receiver) -> HTMLResponse:
    """An empty form for a bin type."""
    return page(request, "bins/form.html", BinTypeFormView("A new bin type"))


@router.post("", openapi_extra=publishes("name"))
def add(request: Request, person: Receiver, session: FormSession, posted: CurrentPosted) -> Response:
    """Take a bin type into the books, and go on to its first tare."""
    answers = Answers(posted)
    name = answers.text("name", longest=60)
    if answers.fine:
        try:
            bin_type = actions.add_bin_type(session, name)
            return done(request, session, person, posted, f"/bins/{bin_type.id}/tares/new")
        except actions.NameTakenError as taken:
            answers.refuse("name", str(taken))
    return page(request, "bins/form.html", BinTypeFormView("A new bin type", posted, answers.errors), status=422)


@router.get("/{bin_type_id}/tares/new")
def new_tare(
    request: Request, _person: Receiver, session: ReadSession, shed: CurrentShed, bin_type_id: RowId
) -> HTMLResponse:
    """An empty form for a tare."""
    bin_type = intake.bin_type(session, bin_type_id)
    typed = {"weighed-on": shed.clock.today().isoformat(), "state": "dry"}
    return page(request, "bins/tare.html", TareFormView(_tare_title(bin_type), bin_type, typed))


@router.post("/{bin_type_id}/tares", openapi_extra=publishes("weighed-on", "state", "empties", "total"))
def add_tare(
    request: Request,
    person: Receiver,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    bin_type_id: RowId,
) -> Response:
    """Write down a weighing of empties."""
    bin_type = intake.bin_type(session, bin_type_id)
    answers = Answers(posted)
    facts = _facts(answers, shed.clock.today())
    if facts is not None:
        actions.add_tare(session, bin_type_id, facts, person.id)
        return done(request, session, person, posted, "/bins")
    view = TareFormView(_tare_title(bin_type), bin_type, posted, answers.errors)
    return page(request, "bins/tare.html", view, status=422)


def read_empties(answers: Answers) -> tuple[int, int] | None:
    """How many empties were weighed and their total in grams; None if either was refused."""
    empties = answers.read("empties", lambda text: entry.whole(text, least=1, most=_MOST_EMPTIES))
    total_g = answers.read("total", entry.mass)
    if empties is None or total_g is None:
        return None
    if not _LIGHTEST_EMPTY_G <= Fraction(total_g, empties) <= _HEAVIEST_EMPTY_G:
        answers.refuse(
            "total",
            f"That makes {say_mass(Fraction(total_g, empties), 1)} an empty; from "
            f"{say_mass(_LIGHTEST_EMPTY_G, 1)} to {say_mass(_HEAVIEST_EMPTY_G)} an empty is accepted.",
        )
        return None
    return empties, total_g


def _facts(answers: Answers, today: date) -> TareFacts | None:
    weighed_on = answers.read("weighed-on", lambda text: _not_to_come(text, today))
    wet = answers.choice("state", _STATES)
    read = read_empties(answers)
    if not answers.fine or weighed_on is None or wet is None or read is None:
        return None
    return TareFacts(weighed_on, *read, wet=wet)


def _not_to_come(text: str, today: date) -> date:
    day = entry.date(text)
    if day > today:
        raise ValueError(f"{say_day(day)} is still to come; a day up to {say_day(today)} is accepted.")
    return day


def _answer(types: list[tuple[BinTypeTares, TareTaken | None]]) -> str:
    without = [each.bin_type.name for each, tare in types if tare is None]
    if without:
        where = "it" if len(without) == 1 else "them"
        return f"{' and '.join(without)}: no dry tare yet, so nothing can be received in {where}"
    return "1 bin type, with a dry tare" if len(types) == 1 else f"{len(types)} bin types, each with a dry tare"


def _tare_title(bin_type: BinType) -> str:
    return f"Weigh empties of {bin_type.name}"
