"""The rules that a sample's fruit are judged by, for a tablet that judges them itself."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.reports.sample import rules_of
from shedgrade.storage import bench
from shedgrade.storage.samples import sample_for
from shedgrade.web.ids import RowId
from shedgrade.web.state import ReadSession
from shedgrade.web.tablet_rules import tablet_rules
from shedgrade.web.whoami import Grader

router = APIRouter()


@router.get("/samples/{sample_id}/rules")
def rules(request: Request, person: Grader, session: ReadSession, sample_id: RowId) -> Response:
    """The rules as JSON (``domain/grading/tablet/rules.py``); 304 for a browser that holds the same ones."""
    sample_for(session, person, sample_id)
    sample = bench.bench_sample(session, sample_id)
    found = tablet_rules(session, sample, rules_of(session, sample))
    headers = {"etag": f'"{found.sha256}"', "cache-control": "private, no-cache"}
    if headers["etag"] in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    return Response(found.content, media_type="application/json", headers=headers)
