"""Fruit: measure one at the bench, read why it was judged so, void a wrong one."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import samples as actions
from shedgrade.actions.samples import EntryKeyTakenError, FruitEntry, VoidedAlreadyError
from shedgrade.domain.fruit_entry import FruitMistakes, FruitReader
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec.model import Spec
from shedgrade.reports.sample import Tally, graded_rows, rules_of
from shedgrade.storage import bench
from shedgrade.storage.bench import BenchSample, MeasuredFruit
from shedgrade.storage.captures import CaptureTold, capture_of
from shedgrade.storage.samples import sample_for
from shedgrade.web.answers import Answers
from shedgrade.web.bench_page import BENCH_FIELDS, bench_page, closed, closed_bench, fruit_wanted
from shedgrade.web.bench_view import (
    FruitWords,
    Refused,
    facts_words,
    fruit_words,
    kept,
    side_view,
)
from shedgrade.web.fields import publishes
from shedgrade.web.fruit_form import by_form_field, typed_fruit
from shedgrade.web.ids import RowId, row_id
from shedgrade.web.last_saved import say_at_the_door
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import new_form_key, page, see, wants_fragment
from shedgrade.web.posted import Posted
from shedgrade.web.saved_fruit import SavedFruit, save_and_commit
from shedgrade.web.state import CurrentPosted, ReadSession, WriteSession, the_shed
from shedgrade.web.tablet_rules import tablet_rules
from shedgrade.web.undoing import NOT_YOURS, may_undo
from shedgrade.web.whoami import CurrentPerson, Grader, person_in, who_may

router = APIRouter()

_LONGEST_KEY = 64


@dataclass(frozen=True, slots=True)
class FruitView:
    """One fruit, why it was judged so, and the form that voids it."""

    title: str
    sample: BenchSample
    spec_title: str
    fruit: FruitWords
    sources: tuple[str, ...]
    may_grade: bool
    capture: CaptureTold | None
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""

    @property
    def is_sent_by_another(self) -> bool:
        """Whether somebody else sent it than measured it."""
        return self.capture is not None and self.capture.sent_by != self.fruit.measured_by


@router.post("/samples/{sample_id}/fruit", openapi_extra=BENCH_FIELDS)
def save(request: Request, session: WriteSession, posted: CurrentPosted, sample_id: RowId) -> Response:
    """Store one measured fruit and answer with its class. The same form sent twice is stored once."""
    person = who_may(person_in(session, request, even_idle=True), Deed.GRADE)
    sample = bench.bench_sample(session, sample_id, lock=True)
    if sample.origin != "bench":
        raise HTTPException(409, "This sample came from a file. Start another one to measure fruit at the bench.")
    if closed(sample):
        return closed_bench(request, session, sample, posted)
    if put := posted.get("put"):  # "did you mean 412 g?" was answered with yes
        return bench_page(request, session, sample, kept(posted, weight=put))
    rules = rules_of(session, sample)
    spec = rules.spec
    typed = dict(posted.fields)
    key = typed.get("entry_key", "")[:_LONGEST_KEY] or new_form_key()
    try:
        fruit, code = FruitReader.at_the_bench(spec, rules.load).read(typed_fruit(posted))
        place = row_id(typed.get("draw", "")), row_id(typed.get("bin", ""))
        entry = FruitEntry(fruit, code, key, person.id, request.app.state.shed.clock.now(), *place)
        saved = save_and_commit(session, sample, rules, entry, person.doer)
    except FruitMistakes as mistakes:
        refused = replace(kept(posted, by_form_field(mistakes, spec)), meant=mistakes.meant)
        return bench_page(request, session, sample, refused, status=422)
    except EntryKeyTakenError as taken:
        return _taken(request, session, sample, spec, posted, taken.stored)
    if saved.tally is not None:
        return _saved(request, session, sample, saved, saved.tally)
    return _whole_bench(request, session, sample) if wants_fragment(request) else see(f"/samples/{sample_id}")


@router.get("/fruit/{fruit_id}")
def show(request: Request, person: CurrentPerson, session: ReadSession, fruit_id: RowId) -> HTMLResponse:
    """One fruit with everything that was measured and every reason."""
    fruit = bench.fruit_with(session, fruit_id)
    sample_for(session, person, fruit.sample_id)
    return page(request, "samples/fruit.html", _fruit_view(session, person, fruit))


@router.post("/fruit/{fruit_id}/voiding", openapi_extra=publishes("reason"))
def void(request: Request, person: Grader, session: FormSession, posted: CurrentPosted, fruit_id: RowId) -> Response:
    """Make a fruit count no longer; it stays to be seen, with who, when and why."""
    fruit = bench.fruit_with(session, fruit_id)
    answers = Answers(posted)
    reason = answers.text("reason")
    if reason == actions.UNDONE and fruit.voided is None and not may_undo(fruit, person, the_shed(request).clock):
        return _not_undone(request, session, person, fruit)
    notice, status = "", 422
    if answers.fine:
        try:
            actions.void_fruit(session, fruit_id, reason, person.id, request.app.state.shed.clock.now())
            return done(request, session, person, posted, f"/samples/{fruit.sample_id}")
        except VoidedAlreadyError:
            notice, status = "It was voided before, as said below. Your reason was not stored.", 409
    view = replace(_fruit_view(session, person, fruit), typed=posted, errors=answers.errors, notice=notice)
    return page(request, "samples/fruit.html", view, status=status)


def _not_undone(request: Request, session: Session, person: Person, fruit: MeasuredFruit) -> HTMLResponse:
    """Why one's own word is asked: at the bench where it was tapped, else beside the reason."""
    if wants_fragment(request):
        sample = bench.bench_sample(session, fruit.sample_id)
        return bench_page(request, session, sample, Refused({}, {}, NOT_YOURS), status=422)
    view = replace(_fruit_view(session, person, fruit), errors={"reason": NOT_YOURS})
    return page(request, "samples/fruit.html", view, status=422)


def _saved(request: Request, session: Session, sample: BenchSample, saved: SavedFruit, tally: Tally) -> Response:
    """Answer with the part of the bench that changed, or the way to the page."""
    rules, number = rules_of(session, sample), saved.stored.number
    # Whoever measures here stays with their draw, also when somebody else has opened the next one meanwhile.
    now = replace(sample, draw=saved.stored.draw, fruit=number)
    answer: Response
    if not wants_fragment(request):
        answer = see(f"/samples/{sample.id}")
    elif "refused" in request.state.posted:
        answer = _whole_bench(request, session, sample)
    else:
        sent = tablet_rules(session, sample, rules).sha256
        side = side_view(now, rules.spec, tally, [saved.row], fruit_wanted(request, session), sent)
        answer = page(request, "samples/_saved.html", side)
        answer.headers.update(_ONLY_THE_SIDE)
    say_at_the_door(request, answer, f"Fruit {number} was saved: {fruit_words(saved.row, rules.spec).class_word}.")
    return answer


def _whole_bench(request: Request, session: Session, sample: BenchSample) -> HTMLResponse:
    return bench_page(request, session, bench.bench_sample(session, sample.id))


# The form itself stays where it is and is emptied there: sending all its keys again took longer than saving the fruit.
_ONLY_THE_SIDE = {"HX-Retarget": "#bench-side", "HX-Reswap": "outerHTML"}


def _taken(
    request: Request, session: Session, sample: BenchSample, spec: Spec, posted: Posted, stored: MeasuredFruit
) -> HTMLResponse:
    """Both said: what this form stored before, and what it holds now, ready to be saved as another fruit."""
    sentence = (
        f"This form was stored before, with {facts_words(stored.fruit, spec.crop)}. What it holds now is below and was "
        "not stored; save again if it is another fruit."
    )
    return bench_page(request, session, sample, kept(posted, notice=sentence, entry_key=new_form_key()), status=409)


def _fruit_view(session: Session, person: Person, fruit: MeasuredFruit) -> FruitView:
    sample = bench.bench_sample(session, fruit.sample_id)
    rules = rules_of(session, sample)
    spec = rules.spec
    (row,) = graded_rows(rules, [fruit])
    return FruitView(
        title=f"Fruit {fruit.number} of {sample.consignment_name}",
        sample=sample,
        spec_title=spec.title,
        fruit=fruit_words(row, spec),
        sources=tuple(dict.fromkeys(reason.source.says() for reason in row.verdict.reasons)),
        may_grade=person.may(Deed.GRADE),
        capture=capture_of(session, fruit.id),
    )
