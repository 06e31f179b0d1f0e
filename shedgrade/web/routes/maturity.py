"""Maturity tests of a consignment: what was read on so many fruit, another one, and a wrong one voided."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import maturity as actions
from shedgrade.actions.maturity import MaturityFacts
from shedgrade.actions.voiding import void as void_row
from shedgrade.domain import entry
from shedgrade.domain.crop import CropMeasure, TakenOn
from shedgrade.domain.grading.load_limits import LoadLimit, load_limits
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec import library
from shedgrade.storage import intake, loads, maturity, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.maturity_words import MaturityLine, reading_hint, test_line
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.standing import must_stand
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.voiding import Voiding, not_voided
from shedgrade.web.whoami import CurrentPerson, Grader

router = APIRouter(prefix="/consignments/{consignment_id}/maturity")

READ = "read-"
_MOST_FRUIT = 100


@dataclass(frozen=True, slots=True)
class MaturityView:
    """The tests of a consignment, what its spec asks of them, and the form for another one."""

    title: str
    whole: ConsignmentWhole
    tests: list[MaturityLine]
    asked: tuple[LoadLimit, ...]
    spec_title: str
    measures: list[tuple[CropMeasure, str]]
    may_test: bool
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class TestView:
    """One test, and the form that voids it."""

    title: str
    whole: ConsignmentWhole
    test: MaturityLine
    may_void: bool
    voiding: Voiding = field(default_factory=Voiding)


@router.get("")
def listed(
    request: Request, person: CurrentPerson, session: ReadSession, shed: CurrentShed, consignment_id: RowId
) -> HTMLResponse:
    """The tests of a consignment, the newest first, and a form for the next one."""
    whole = intake.consignment_for(session, person, consignment_id)
    typed = {"taken_on": f"{shed.clock.today():%Y-%m-%d}", "fruit": "10"}
    return page(request, "consignments/maturity.html", _view(session, person, whole, typed))


@router.post("", openapi_extra=publishes("taken_on", "fruit", "cut", f"{READ}*"))
def add(
    request: Request,
    person: Grader,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    consignment_id: RowId,
) -> Response:
    """Write a test down."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    answers = Answers(posted)
    facts = _facts(answers, _measures(whole), shed.clock)
    if facts is not None:
        actions.add_test(session, whole.id, facts, person.id, shed.clock.now())
        return done(request, session, person, posted, f"/consignments/{whole.id}/maturity?done=tested")
    view = _view(session, person, whole, posted, answers.errors)
    return page(request, "consignments/maturity.html", view, status=422)


@router.get("/{test_id}")
def shown(
    request: Request, person: CurrentPerson, session: ReadSession, consignment_id: RowId, test_id: RowId
) -> HTMLResponse:
    """One test."""
    whole = intake.consignment_for(session, person, consignment_id)
    maturity.row_of(session, whole.id, test_id)
    return page(request, "consignments/maturity_test.html", _test_view(session, person, whole, test_id, Voiding()))


@router.post("/{test_id}/voiding", openapi_extra=publishes("reason"))
def void(
    request: Request,
    person: Grader,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    consignment_id: RowId,
    test_id: RowId,
) -> Response:
    """Void a test for the reason given: it stays to be seen and counts no longer."""
    whole = intake.consignment_for(session, person, consignment_id)
    test = maturity.row_of(session, whole.id, test_id)
    again = not_voided(posted, lambda reason: void_row(session, test, reason, person.id, shed.clock.now()))
    if again is None:
        return done(request, session, person, posted, f"/consignments/{whole.id}/maturity/{test_id}?done=test-voided")
    view = _test_view(session, person, whole, test_id, again)
    return page(request, "consignments/maturity_test.html", view, status=again.status)


def _view(
    session: Session,
    person: Person,
    whole: ConsignmentWhole,
    typed: Mapping[str, str],
    errors: Mapping[str, str] | None = None,
) -> MaturityView:
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    return MaturityView(
        title=f"Maturity of {whole.name}",
        whole=whole,
        tests=_lines(session, whole),
        asked=load_limits(spec, loads.load_of(session, whole.id)),
        spec_title=spec.title,
        measures=[(measure, reading_hint(measure)) for measure in _measures(whole)],
        may_test=person.may(Deed.GRADE) and not whole.voided,
        typed=typed,
        errors=errors or {},
    )


def _test_view(session: Session, person: Person, whole: ConsignmentWhole, test_id: int, voiding: Voiding) -> TestView:
    line = next(each for each in _lines(session, whole) if each.id == test_id)
    return TestView(line.title, whole, line, person.may(Deed.GRADE) and line.voided is None, voiding)


def _lines(session: Session, whole: ConsignmentWhole) -> list[MaturityLine]:
    crop = library.crops()[whole.block.crop_id]
    return [test_line(test) for test in maturity.tests_of(session, whole.id, crop)]


def _measures(whole: ConsignmentWhole) -> list[CropMeasure]:
    """What a test of this fruit can read: the crop's measures that speak for the load."""
    return [each for each in library.crops()[whole.block.crop_id].measures if each.on is not TakenOn.FRUIT]


def _facts(answers: Answers, measures: list[CropMeasure], clock: Clock) -> MaturityFacts | None:
    taken_on = answers.read("taken_on", entry.date)
    if taken_on is not None and taken_on > clock.today():
        answers.refuse("taken_on", "That day has not come yet; today or a day before is accepted.")
    fruit = answers.read("fruit", lambda text: entry.whole(text, least=1, most=_MOST_FRUIT))
    readings = {each.id: _read(answers, each, fruit) for each in measures}
    given = {measure: figures for measure, figures in readings.items() if figures}
    if measures and not given and answers.fine:
        answers.refuse(READ + measures[0].id, "Nothing was read yet; type what was read of at least one of these.")
    if not answers.fine or taken_on is None or fruit is None:
        return None
    return MaturityFacts(taken_on, fruit, answers.ticked("cut"), given)


def _read(answers: Answers, measure: CropMeasure, fruit: int | None) -> tuple[int, ...]:
    name = READ + measure.id
    figures = answers.read(name, lambda text: entry.figures(text, measure), needed=False) or ()
    if figures and fruit is not None and len(figures) not in (1, fruit):
        sentence = (
            f"{len(figures)} figures stand here for {fruit} fruit; one for each fruit, or their one mean, is accepted."
        )
        answers.refuse(name, sentence)
        return ()
    return figures
