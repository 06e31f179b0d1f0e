"""The bench of a sample as a page, or as the fragment of it that htmx asked for."""

from collections.abc import Sequence
from dataclasses import replace

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.sampling.question import Question
from shedgrade.domain.settings import SAMPLE_FRUIT
from shedgrade.reports.sample import GradedRow, graded_rows, rules_of, tally_of
from shedgrade.storage import bench, settings
from shedgrade.storage.bench import BenchSample, MeasuredFruit, OpenDraw
from shedgrade.storage.seen_before import kinds_seen_before
from shedgrade.web.bench_view import MARK, NOTHING_REFUSED, SEEN, STATE, TAKEN, Refused, bench_view, kept, side_view
from shedgrade.web.fields import publishes
from shedgrade.web.pages import page, wants_fragment
from shedgrade.web.posted import Posted
from shedgrade.web.standing import void_words
from shedgrade.web.state import the_shed
from shedgrade.web.tablet_rules import tablet_rules
from shedgrade.web.undoing import last_words, may_undo

LAST_ROWS = 20
_FIELDS = (
    "weight",
    "stage",
    "size_code",
    f"{MARK}*",
    f"{TAKEN}*",
    "draw",
    "bin",
    "entry_key",
    "refused",
    "put",
    "to_bin",
)
BENCH_FIELDS = publishes(*_FIELDS, many=(SEEN, STATE))


def bench_page(
    request: Request,
    session: Session,
    sample: BenchSample,
    refused: Refused = NOTHING_REFUSED,
    *,
    status: int = 200,
    said: str = "",
) -> HTMLResponse:
    """The bench, whole or as the fragment htmx asked for; ``said`` is what has just changed in it."""
    rules = rules_of(session, sample)
    tally = tally_of(session, sample, rules)
    rows = graded_rows(rules, bench.last_fruit(session, sample.id, LAST_ROWS))
    bins = bench.bins_of_sample(session, sample.id) if Question(sample.question) is Question.INTAKE else []
    often = kinds_seen_before(session, sample.id)
    sent = tablet_rules(session, sample, rules).sha256
    side = side_view(sample, rules.spec, tally, rows, fruit_wanted(request, session), sent, refused)
    view = bench_view(rules.spec, side, often, bins, refused)
    just_voided = _just_voided(session, sample, rows)
    side = replace(view.side, just_voided=just_voided, last_words=_last_words(request, rows))
    view = replace(view, side=replace(side, left=_left(session, sample, rows)))
    if not wants_fragment(request):
        return page(request, "samples/bench.html", view, status=status)
    return page(request, "samples/_bench.html", replace(view, side=replace(view.side, said=said)), status=status)


def fruit_wanted(request: Request, session: Session) -> int:
    """How many fruit make a sample full, as the shed has it today."""
    return settings.in_force(session, SAMPLE_FRUIT, the_shed(request).clock.today())


def bench_side(request: Request, session: Session, sample: BenchSample, draw_id: int) -> HTMLResponse:
    """The side and the list of the fruit entered last, without the form, which somebody may be typing into."""
    rules = rules_of(session, sample)
    tally = tally_of(session, sample, rules)
    rows = graded_rows(rules, bench.last_fruit(session, sample.id, LAST_ROWS))
    here = replace(sample, draw=bench.draw_of(session, sample.id, draw_id) or sample.draw)
    sent = tablet_rules(session, sample, rules).sha256
    side = side_view(here, rules.spec, tally, rows, fruit_wanted(request, session), sent)
    view = replace(
        side,
        empties=False,
        just_voided=_just_voided(session, sample, rows),
        last_words=_last_words(request, rows),
        left=_left(session, here, rows),
    )
    return page(request, "samples/_caught_up.html", view)


def _last_words(request: Request, rows: Sequence[GradedRow]) -> str:
    person, clock = request.state.person, the_shed(request).clock
    if not rows or may_undo(rows[0].measured, person, clock):
        return ""
    return last_words(rows[0].measured, person, clock)


def _left(session: Session, sample: BenchSample, rows: Sequence[GradedRow]) -> OpenDraw | None:
    """The draw of the last fruit, where the bench is at another by now."""
    if not rows or sample.draw is None or rows[0].measured.draw_id == sample.draw.id:
        return None
    return bench.draw_of(session, sample.id, rows[0].measured.draw_id)


def _just_voided(session: Session, sample: BenchSample, rows: Sequence[GradedRow]) -> MeasuredFruit | None:
    """The fruit that was voided last, if none was measured after that."""
    found = bench.last_voided(session, sample.id) if sample.voided else None
    if found is None or found.voided is None:
        return None
    newest = rows[0].measured
    return found if newest.voided or found.voided.at >= newest.measured_at else None


def closed(sample: BenchSample) -> str:
    """Why nothing can be added to the sample; "" while it is open."""
    if sample.consignment_voided:
        return void_words(sample.consignment_name)
    if sample.sample_voided:
        return "This sample was voided and counts no longer, so nothing was stored. Start another one for more fruit."
    return ""


def closed_bench(request: Request, session: Session, sample: BenchSample, posted: Posted) -> HTMLResponse:
    """The bench with everything typed, and why it takes nothing any more."""
    return bench_page(request, session, sample, kept(posted, notice=closed(sample)), status=409)
