"""Samples: start one of a consignment, the bench, the next draw, all its fruit."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import samples as actions
from shedgrade.actions.samples import NoBinLeftError
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import digits
from shedgrade.reports.sample import graded_rows, rules_of, tally_of
from shedgrade.storage import bench, intake, markets
from shedgrade.storage.bench import BenchSample
from shedgrade.storage.samples import sample_for
from shedgrade.web.answers import Answers
from shedgrade.web.bench_view import (
    MARK,
    NOTHING_REFUSED,
    SEEN,
    FruitWords,
    Refused,
    TallyWords,
    bench_view,
    fruit_words,
    kept,
    tally_words,
)
from shedgrade.web.fields import publishes
from shedgrade.web.ids import LARGEST, RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, wants_fragment
from shedgrade.web.posted import Posted
from shedgrade.web.standing import must_stand, void_words
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.whoami import CurrentPerson, Grader

router = APIRouter()

LAST_ROWS = 20
PAGE_ROWS = 100
BENCH_FIELDS = publishes(
    "weight", "stage", "size_code", f"{MARK}*", "draw", "entry_key", "refused", "put", many=("seen",)
)


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

    @property
    def answer(self) -> str:
        """What a person would say of it: how much was looked at, and how much of it makes the best class."""
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
    if person.may(Deed.GRADE) and sample.origin == "bench":
        return bench_page(request, session, sample)
    return _read_page(request, person, session, sample, after=max(sample.fruit - LAST_ROWS, 0))


@router.post("/samples/{sample_id}/draws", openapi_extra=BENCH_FIELDS)
def next_draw(
    request: Request, person: Grader, session: FormSession, posted: CurrentPosted, sample_id: RowId
) -> Response:
    """Open the next bin, tray or draw."""
    sample = bench.bench_sample(session, sample_id, lock=True)
    if sample.consignment_voided:
        return void_bench(request, session, sample, posted)
    try:
        actions.next_draw(session, sample)
    except NoBinLeftError:
        sentence = "Every bin of this consignment has been drawn. Go on in the last one, or end the sample here."
        return bench_page(request, session, sample, kept(posted, notice=sentence), status=422)
    answer = done(request, session, person, posted, f"/samples/{sample_id}")
    if not _holds_a_fruit(posted):
        return answer
    # A fruit was typed already: it stays in the form, now for the draw just opened.
    return bench_page(request, session, bench.bench_sample(session, sample_id), kept(posted))


def _holds_a_fruit(posted: Posted) -> bool:
    return any(text.strip() and name.startswith(("weight", "stage", MARK, SEEN)) for name, text in posted.fields)


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
    return _read_page(request, person, session, bench.bench_sample(session, sample_id), after=after)


def bench_page(
    request: Request,
    session: Session,
    sample: BenchSample,
    refused: Refused = NOTHING_REFUSED,
    *,
    status: int = 200,
) -> HTMLResponse:
    """The bench, whole or as the fragment htmx asked for."""
    spec, tray = rules_of(session, sample)
    tally = tally_of(session, sample, spec)
    rows = graded_rows(spec, tray, bench.last_fruit(session, sample.id, LAST_ROWS))
    view = bench_view(sample, spec, tally, rows, refused)
    template = "samples/_bench.html" if wants_fragment(request) else "samples/bench.html"
    return page(request, template, view, status=status)


def void_bench(request: Request, session: Session, sample: BenchSample, posted: Posted) -> HTMLResponse:
    """The bench with everything typed, and that the consignment takes nothing any more."""
    refused = Refused(posted, {}, void_words(sample.consignment_name))
    return bench_page(request, session, sample, refused, status=409)


def _read_page(request: Request, person: Person, session: Session, sample: BenchSample, *, after: int) -> HTMLResponse:
    spec, tray = rules_of(session, sample)
    found = bench.fruit_after(session, sample.id, after, PAGE_ROWS + 1)
    question = Question(sample.question)
    view = SampleView(
        title=f"Sample of {sample.consignment_name}",
        sample=sample,
        question=question,
        tally=tally_words(tally_of(session, sample, spec), spec, question),
        rows=tuple(fruit_words(row, spec) for row in graded_rows(spec, tray, found[:PAGE_ROWS])),
        next_after=found[PAGE_ROWS - 1].number if len(found) > PAGE_ROWS else None,
        at_bench=sample.origin == "bench",
        may_grade=person.may(Deed.GRADE),
        back=f"/consignments/{sample.consignment_id}",
        looked_for_words=_looked_for_words(sample, spec),
    )
    return page(request, "samples/fruit_list.html", view)


def _looked_for_words(sample: BenchSample, spec: Spec) -> str:
    """What the file had a column for; limits over anything else are not judged."""
    if sample.looked_for is None:
        return ""
    names = [kind.name for kind in spec.crop.kinds if kind.id in sample.looked_for]
    if not names:
        return "The file names no defect, so no limit over defects is judged."
    return f"The file looked for {', '.join(names)}; limits over other defects are not judged."
