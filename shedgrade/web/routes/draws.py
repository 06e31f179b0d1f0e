"""Draws: go on to the next bin, tray or draw, or to a bin that is chosen."""

from fastapi import APIRouter, Request
from fastapi.responses import Response
from sqlmodel import Session

from shedgrade.actions import draws
from shedgrade.actions.draws import NoBinLeftError
from shedgrade.domain.people import Person
from shedgrade.storage import bench
from shedgrade.storage.bench import BenchSample, OpenDraw
from shedgrade.web.answers import Answers
from shedgrade.web.bench_page import BENCH_FIELDS, bench_page, closed, closed_bench
from shedgrade.web.bench_view import MARK, NOTHING_REFUSED, SEEN, draw_words, kept
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import wants_fragment
from shedgrade.web.posted import Posted
from shedgrade.web.state import CurrentPosted
from shedgrade.web.whoami import Grader

router = APIRouter(prefix="/samples/{sample_id}")

_NO_BIN = "Choose the bin to go to from the list."
_ALL_DRAWN = "Every bin of this consignment has been drawn. Go on in the last one, or end the sample here."


@router.post("/draws", openapi_extra=BENCH_FIELDS)
def go_on(request: Request, person: Grader, session: FormSession, posted: CurrentPosted, sample_id: RowId) -> Response:
    """Go on to the next bin, tray or draw; a bin without a fruit is passed over and comes round again."""
    sample = bench.bench_sample(session, sample_id, lock=True)
    if closed(sample):
        return closed_bench(request, session, sample, posted)
    try:
        draw = draws.next_draw(session, sample)
    except NoBinLeftError as none:
        return bench_page(request, session, sample, kept(posted, notice=_none_left(none)), status=422)
    return _gone(request, person, session, posted, sample, draw)


@router.post("/bins", openapi_extra=BENCH_FIELDS)
def go_to(request: Request, person: Grader, session: FormSession, posted: CurrentPosted, sample_id: RowId) -> Response:
    """Go to the bin chosen, also back to one that fruit came from."""
    sample = bench.bench_sample(session, sample_id, lock=True)
    if closed(sample):
        return closed_bench(request, session, sample, posted)
    answers = Answers(posted)
    bin_id = answers.choice("to_bin", {str(each.id): each.id for each in bench.bins_of_sample(session, sample_id)})
    if bin_id is None:
        return bench_page(request, session, sample, kept(posted, {"to_bin": _NO_BIN}), status=422)
    return _gone(request, person, session, posted, sample, draws.go_to_bin(session, sample, bin_id))


def _none_left(none: NoBinLeftError) -> str:
    if none.only is None:
        return _ALL_DRAWN
    words = draw_words(none.only)
    return f"{words[0].upper()}{words[1:]} is the only one without fruit yet. Its first fruit is next."


def _gone(
    request: Request, person: Person, session: Session, posted: Posted, sample: BenchSample, draw: OpenDraw
) -> Response:
    """Say where the bench is now. A fruit that was typed already stays in the form, for the draw just gone to."""
    answer = done(request, session, person, posted, f"/samples/{sample.id}")
    typed = _holds_a_fruit(posted)
    if not typed and not wants_fragment(request):
        return answer
    refused = kept(posted, to_bin="") if typed else NOTHING_REFUSED
    now = bench.bench_sample(session, sample.id)
    return bench_page(request, session, now, refused, said=f"Now {draw_words(draw)}.")


def _holds_a_fruit(posted: Posted) -> bool:
    return any(text.strip() and name.startswith(("weight", "stage", MARK, SEEN)) for name, text in posted.fields)
