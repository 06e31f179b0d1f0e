"""The shed's dated list of tray types: list, add. A tray type in use is replaced by a later row, never edited."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions.trays import TrayError, TrayFacts, add_tray
from shedgrade.domain import entry
from shedgrade.domain.crop import Crop
from shedgrade.domain.people import Deed
from shedgrade.domain.spec import library
from shedgrade.domain.units import DG_PER_G, G_PER_KG, digits
from shedgrade.storage import markets
from shedgrade.storage.markets import TrayOfShed
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import LARGEST
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import MarketKeeper, MarketReader

router = APIRouter(prefix="/trays")

_MOST_COUNTS = 20
_MOST_FRUIT = 500
_HEAVIEST_TRAY_G = 50 * G_PER_KG


@dataclass(frozen=True, slots=True)
class TrayLine:
    """A tray type in the list: its fruit, each count with net over count in decigrams, and how it stands since when."""

    found: TrayOfShed
    crop: str
    counts: list[tuple[int, Fraction]]
    state: str
    day: date
    newest: bool


@dataclass(frozen=True, slots=True)
class TraysView:
    """The list, those in use first within each name."""

    title: str
    trays: list[TrayLine]
    may_keep: bool


@dataclass(frozen=True, slots=True)
class TrayFormView:
    """The form for a tray type."""

    title: str
    crops: list[tuple[str, str]]
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@router.get("")
def listed(request: Request, person: MarketReader, session: ReadSession, shed: CurrentShed) -> HTMLResponse:
    """Every tray type, with net over count for each count."""
    found = markets.tray_types(session)
    lines = [_line(each, _replaced_on(each, found), shed.clock.today()) for each in found]
    return page(request, "trays/list.html", TraysView("Tray types", lines, person.may(Deed.KEEP_MARKETS)))


@router.get("/new")
def new(
    request: Request,
    _person: MarketKeeper,
    session: ReadSession,
    shed: CurrentShed,
    replaced: Annotated[int | None, Query(alias="replacing", ge=1, le=LARGEST)] = None,
) -> HTMLResponse:
    """An empty form, or one filled from the tray type that is to be replaced."""
    typed = {"valid_from": f"{shed.clock.today():%Y-%m-%d}"}
    if replaced is not None:
        typed |= _typed(markets.tray_of_shed(session, replaced))
    return page(request, "trays/form.html", TrayFormView("A tray type", _crops(), typed))


@router.post("", openapi_extra=publishes("name", "crop", "net", "counts", "heaviest", "valid_from"))
def add(request: Request, person: MarketKeeper, session: FormSession, posted: CurrentPosted) -> Response:
    """Put a tray type on the list."""
    answers = Answers(posted)
    facts = _facts(answers)
    if facts is not None:
        try:
            add_tray(session, facts)
            return done(request, session, person, posted, "/trays")
        except TrayError as mistake:
            answers.refuse(mistake.field, str(mistake))
    view = TrayFormView("A tray type", _crops(), posted, answers.errors)
    return page(request, "trays/form.html", view, status=422)


def _facts(answers: Answers) -> TrayFacts | None:
    name = answers.text("name", longest=60)
    crop = answers.choice("crop", library.crops())
    net = answers.read("net", partial(entry.mass, least_g=100, most_g=_HEAVIEST_TRAY_G))
    numbers = answers.read("counts", counts)
    heaviest = answers.read("heaviest", partial(_fruit_weight, crop=crop), needed=False)
    begins = answers.read("valid_from", entry.date)
    if not answers.fine or crop is None or net is None or numbers is None or begins is None:
        return None
    return TrayFacts(name, crop.id, net, numbers, heaviest, begins)


def counts(text: str) -> tuple[int, ...]:
    """The counts typed, with spaces or commas between them, ascending; ValueError."""
    words = text.replace(",", " ").split()
    if not words:
        raise ValueError("No count is there. Give them such as 12 14 16.")
    if len(words) > _MOST_COUNTS:
        raise ValueError(f"That is {len(words)} counts; at most {_MOST_COUNTS} fit.")
    numbers = [entry.whole(word, least=1, most=_MOST_FRUIT) for word in words]
    if len(set(numbers)) < len(numbers):
        raise ValueError("One count is there twice. Give each once, such as 12 14 16.")
    return tuple(sorted(numbers))


def _fruit_weight(text: str, crop: Crop | None) -> int:
    if crop is None:
        return entry.weight(text, lightest_dg=1, heaviest_dg=None, fruit_name="fruit")
    return entry.weight(text, lightest_dg=crop.lightest_dg, heaviest_dg=crop.heaviest_dg, fruit_name=crop.name.lower())


def _replaced_on(found: TrayOfShed, every: list[TrayOfShed]) -> date | None:
    """The day from which the next row of the same name is in use."""
    later = [
        other.row.valid_from
        for other in every
        if other.row.name == found.row.name and other.row.valid_from > found.row.valid_from
    ]
    return min(later, default=None)


def _line(found: TrayOfShed, replaced_on: date | None, today: date) -> TrayLine:
    by_count = [(count, Fraction(found.tray.net_g * DG_PER_G, count)) for count in found.tray.counts]
    crop = library.crops().get(found.row.crop_id)
    crop_name = found.row.crop_id if crop is None else crop.name
    begins = found.row.valid_from
    if replaced_on is not None and replaced_on <= today:
        return TrayLine(found, crop_name, by_count, "Replaced since", replaced_on, newest=False)
    return TrayLine(
        found,
        crop_name,
        by_count,
        "In use from" if begins > today else "In use since",
        begins,
        newest=replaced_on is None,
    )


def _typed(found: TrayOfShed) -> dict[str, str]:
    row = found.row
    return {
        "name": row.name,
        "crop": row.crop_id,
        "net": digits(Fraction(row.net_g, G_PER_KG), 3, trim=True),
        "counts": " ".join(map(str, found.tray.counts)),
        "heaviest": "" if row.heaviest_dg is None else digits(Fraction(row.heaviest_dg, DG_PER_G), 1, trim=True),
    }


def _crops() -> list[tuple[str, str]]:
    return [(crop.id, crop.name) for crop in library.crops().values()]
