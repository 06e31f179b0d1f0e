"""What the machine at a scale says to the shed: the code it was told, then each weight. It is nobody's browser."""

from collections.abc import Callable
from datetime import timedelta
from functools import partial

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from shedgrade.actions import scales as actions
from shedgrade.actions.scales import WrongCodeError
from shedgrade.actions.sign_ins import TooManyTriesError, begin_try, forgive
from shedgrade.domain import entry
from shedgrade.domain.scales import KEPT_FOR
from shedgrade.domain.sign_in import Tried
from shedgrade.storage import scales
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.tables import ScaleReading
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import LARGEST
from shedgrade.web.state import CurrentPosted, CurrentShed, WriteSession

router = APIRouter(prefix="/scales")

_LONGEST_NAME = 60
_LONGEST_RUN = 40
_HEAVIEST_DG = 10**7  # a tonne
_LONGEST_AGO_MS = int(KEPT_FOR.total_seconds() * 1000)
_WRONG = "That is not a code that a bench shows now. Look at the bench, or ask it for a new one."


@router.post("/pairings", openapi_extra=publishes("code", "name"))
def pair(request: Request, shed: CurrentShed, session: WriteSession, posted: CurrentPosted) -> Response:
    """Take the code that a bench shows; give the token by which this scale is known from now on."""
    answers, now = Answers(posted), shed.clock.real_now()
    code, name = answers.text("code", longest=20).replace(" ", ""), answers.text("name", longest=_LONGEST_NAME)
    if not answers.fine:
        return _refused(422, *answers.errors.values())
    tried = Tried.pairing(request.client.host if request.client else "")
    try:
        begin_try(session, [tried], now)
        shown = actions.found_code(session, code, now)
    except TooManyTriesError as many:
        return _refused(429, f"Too many wrong codes. Wait {round(many.wait.total_seconds())} seconds, then try again.")
    except WrongCodeError:
        session.commit()
        return _refused(422, _WRONG)
    forgive(session, [tried])
    act_as(session, Actor(shown.asked_by_id, name, shed.clock.now()))
    token = actions.pair(session, shown, name, now)
    session.commit()
    return JSONResponse({"token": token})


@router.post("/readings", openapi_extra=publishes("run", "number", "weight_dg", "ago_ms"))
def take_in(request: Request, shed: CurrentShed, session: WriteSession, posted: CurrentPosted) -> Response:
    """Take in one weight, and how long ago it was read: clocks differ. One that comes twice is kept once."""
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    scale = scales.by_token(session, token if scheme.lower() == "bearer" else "")
    answers, now = Answers(posted), shed.clock.real_now()
    run = answers.text("run", longest=_LONGEST_RUN)
    number = answers.read("number", _whole(1, LARGEST))
    weight_dg = answers.read("weight_dg", _whole(1, _HEAVIEST_DG))
    ago_ms = answers.read("ago_ms", _whole(0, _LONGEST_AGO_MS))
    if number is None or weight_dg is None or ago_ms is None or not answers.fine:
        return _refused(422, *answers.errors.values())
    read_at = now - timedelta(milliseconds=ago_ms)
    reading = ScaleReading(scale_id=scale.id or 0, run=run, number=number, weight_dg=weight_dg, read_at=read_at)
    actions.take_in(session, scale, reading, now)
    session.commit()
    return Response(status_code=204)


def _whole(least: int, most: int) -> Callable[[str], int]:
    return partial(entry.whole, least=least, most=most)


def _refused(status: int, *sentences: str) -> JSONResponse:
    return JSONResponse({"sentence": " ".join(sentences)}, status)
