"""The bench of a sample as a page, or as the fragment of it that htmx asked for."""

from dataclasses import replace

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.sampling.question import Question
from shedgrade.reports.sample import graded_rows, rules_of, tally_of
from shedgrade.storage import bench
from shedgrade.storage.bench import BenchSample
from shedgrade.web.bench_view import MARK, NOTHING_REFUSED, SEEN, STATE, TAKEN, Refused, bench_view, kept
from shedgrade.web.fields import publishes
from shedgrade.web.pages import page, wants_fragment
from shedgrade.web.posted import Posted
from shedgrade.web.standing import void_words

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
    view = bench_view(sample, rules.spec, tally, rows, bins, refused)
    if not wants_fragment(request):
        return page(request, "samples/bench.html", view, status=status)
    return page(request, "samples/_bench.html", replace(view, side=replace(view.side, said=said)), status=status)


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
