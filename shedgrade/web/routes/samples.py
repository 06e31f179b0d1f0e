"""Samples: start one of a consignment, the bench, all its fruit."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import samples as actions
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import digits
from shedgrade.reports.sample import graded_rows, rules_of, tally_of
from shedgrade.storage import bench, intake, markets
from shedgrade.storage.bench import BenchSample
from shedgrade.storage.samples import sample_for
from shedgrade.web.answers import Answers
from shedgrade.web.bench_page import LAST_ROWS, bench_page, bench_side
from shedgrade.web.bench_view import FruitWords, TallyWords, fruit_words, tally_words
from shedgrade.web.fields import publishes
from shedgrade.web.ids import LARGEST, RowId, row_id
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.standing import must_stand
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.voiding import Voiding
from shedgrade.web.whoami import CurrentPerson, Grader

router = APIRouter()

PAGE_ROWS = 100


@dataclass(frozen=True, slots=True)
class StartView:
    """The form that starts a sample, shown by itself when it was refused."""

    title: str
    consignment_name: str
    consignment_id: int
    trays: list[tuple[int, str]]
    typed: Mapping[str, str]
    errors: Mapping[str, str]

    @property
    def questions(self) -> list[tuple[str, str]]:
        """What a sample can answer: value and word."""
        return [(each.value, each.label) for each in Question]


@dataclass(frozen=True, slots=True)
class SampleView:
    """A sample to read: its tally and some of its fruit. ``next_after`` is None on the last page."""

    title: str
    sample: BenchSample
    question: Question
    tally: TallyWords
    rows: tuple[FruitWords, ...]
    next_after: int | None
    at_bench: bool
    may_grade: bool
    back: str
    looked_for_words: str
    voiding: Voiding

    @property
    def answer(self) -> str:
        """What a person would say of it: how much was looked at, and how much of it makes the best class."""
        if self.sample.sample_voided:
            return f"Voided: {self.sample.sample_voided.reason}"
        if not self.tally.total:
            return "No fruit yet"
        best, found = self.tally.rows[0]
        return f"{self.tally.words}: {digits(found)} {best}"


@router.post("/consignments/{consignment_id}/samples", openapi_extra=publishes("question", "tray"))
def start(
    request: Request, person: Grader, session: FormSession, posted: CurrentPosted, consignment_id: RowId
) -> Response:
    """Start a sample of a consignment: which question it answers, and for which tray its fruit are counted."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    offered = markets.market(session, whole.consignment.market_id).trays
    trays = {str(tray_id): tray_id for tray_id, _ in offered}
    answers = Answers(posted)
    question = answers.choice("question", {each.value: each for each in Question})
    tray_id = answers.choice("tray", trays, needed=bool(trays))
    if answers.fine and question is not None:
        now = request.app.state.shed.clock.now()
        sample = actions.start_sample(session, consignment_id, question, tray_id, person.id, now)
        return done(request, session, person, posted, f"/samples/{sample.id}")
    names = [(tray_id, tray.name) for tray_id, tray in offered]
    view = StartView("Start a sample", whole.name, consignment_id, names, posted, answers.errors)
    return page(request, "samples/start.html", view, status=422)


@router.get("/samples/{sample_id}")
def show(request: Request, person: CurrentPerson, session: ReadSession, sample_id: RowId) -> HTMLResponse:
    """The bench for those who grade there, the fruit to read for everybody else who may see them."""
    sample_for(session, person, sample_id)
    sample = bench.bench_sample(session, sample_id)
    if person.may(Deed.GRADE) and sample.origin == "bench" and not sample.sample_voided:
        return bench_page(request, session, sample)
    return read_page(request, person, session, sample, after=max(sample.fruit - LAST_ROWS, 0))


@router.get("/samples/{sample_id}/side")
def catch_up(
    request: Request,
    _person: Grader,
    session: ReadSession,
    sample_id: RowId,
    draw: str = "",
) -> HTMLResponse:
    """What changes beside the bench with each fruit, for a page whose fruit were sent past its form; the form stays as
    it is. Whoever measures there stays with their ``draw``."""
    return bench_side(request, session, bench.bench_sample(session, sample_id), row_id(draw))


@router.get("/samples/{sample_id}/fruit")
def all_fruit(
    request: Request,
    person: CurrentPerson,
    session: ReadSession,
    sample_id: RowId,
    after: Annotated[int, Query(ge=0, le=LARGEST)] = 0,
) -> HTMLResponse:
    """The fruit of a sample, page by page, voided ones struck through."""
    sample_for(session, person, sample_id)
    return read_page(request, person, session, bench.bench_sample(session, sample_id), after=after)


def read_page(
    request: Request,
    person: Person,
    session: Session,
    sample: BenchSample,
    *,
    after: int,
    voiding: Voiding | None = None,
    status: int = 200,
) -> HTMLResponse:
    """The sample to read, with the form that voids it."""
    rules = rules_of(session, sample)
    spec = rules.spec
    found = bench.fruit_after(session, sample.id, after, PAGE_ROWS + 1)
    question = Question(sample.question)
    view = SampleView(
        title=f"Sample of {sample.consignment_name}",
        sample=sample,
        question=question,
        tally=tally_words(tally_of(session, sample, rules), spec, question),
        rows=tuple(fruit_words(row, spec) for row in graded_rows(rules, found[:PAGE_ROWS])),
        next_after=found[PAGE_ROWS - 1].number if len(found) > PAGE_ROWS else None,
        at_bench=sample.origin == "bench",
        may_grade=person.may(Deed.GRADE),
        back=f"/consignments/{sample.consignment_id}",
        looked_for_words=_looked_for_words(sample, spec),
        voiding=voiding or Voiding(),
    )
    return page(request, "samples/fruit_list.html", view, status=status)


def _looked_for_words(sample: BenchSample, spec: Spec) -> str:
    """What the file had a column for; limits over anything else are not judged."""
    if sample.looked_for is None:
        return ""
    names = [kind.name for kind in spec.crop.kinds if kind.id in sample.looked_for]
    if not names:
        return "The file names no defect, so no limit over defects is judged."
    return f"The file looked for {', '.join(names)}; limits over other defects are not judged."
