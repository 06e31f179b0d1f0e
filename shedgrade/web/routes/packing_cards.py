"""The packing card of a run, for the table: on the screen, and printed on A4 either way."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from shedgrade.domain.card_words import LANGUAGES
from shedgrade.domain.settings import CARD_LANGUAGE
from shedgrade.storage import runs, settings, spec_confirmations, specs
from shedgrade.web.card_view import card_view
from shedgrade.web.ids import RowId
from shedgrade.web.pages import page, say_day
from shedgrade.web.spec_body import confirmed_in
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.whoami import ShedPerson

router = APIRouter()


@router.get("/runs/{run_id}/card")
def shown(
    request: Request,
    person: ShedPerson,
    session: ReadSession,
    shed: CurrentShed,
    run_id: RowId,
    paper: Annotated[str, Query(max_length=20)] = "",
) -> HTMLResponse:
    """The class limits, the breaks and how fruit lie in the tray; ``?paper=lying`` for the long side down."""
    run = runs.run_for(session, person, run_id)
    version = specs.version(session, run.row.spec_version_id)
    confirmed = spec_confirmations.confirmed_of(session, run.row.spec_version_id)
    spec = confirmed_in(specs.spec_in(version), dict(confirmed), say_day, person)
    language = LANGUAGES.get(settings.in_force(session, CARD_LANGUAGE, shed.clock.today()))
    return page(request, "runs/card.html", card_view(run, version, spec, language, lying=paper == "lying"))
