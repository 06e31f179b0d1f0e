"""The rules that a sample's fruit are judged by, for a tablet that judges them itself."""

from hashlib import sha256
from json import dumps

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.domain.grading.tablet.rules import rules_for_tablet
from shedgrade.reports.sample import rules_of
from shedgrade.storage import bench, specs
from shedgrade.storage.samples import sample_for
from shedgrade.web.ids import RowId
from shedgrade.web.state import ReadSession
from shedgrade.web.whoami import Grader

router = APIRouter()


@router.get("/samples/{sample_id}/rules")
def rules(request: Request, person: Grader, session: ReadSession, sample_id: RowId) -> Response:
    """The rules as JSON (``domain/grading/tablet/rules.py``); 304 for a browser that holds the same ones."""
    sample_for(session, person, sample_id)
    sample = bench.bench_sample(session, sample_id)
    found = rules_of(session, sample)
    hashed = specs.version(session, sample.spec_version_id).sha256
    content = dumps(rules_for_tablet(found.spec, hashed, found.load, found.tray), separators=(",", ":")).encode()
    headers = {"etag": f'"{sha256(content).hexdigest()}"', "cache-control": "private, no-cache"}
    if headers["etag"] in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    return Response(content, media_type="application/json", headers=headers)
