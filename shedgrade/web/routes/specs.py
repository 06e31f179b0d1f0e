"""Specs: the list by fruit and market, one version to read, its file, and two versions side by side."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.domain.spec.comparing import Change, compare
from shedgrade.storage import specs
from shedgrade.storage.tables import SpecVersion
from shedgrade.web.ids import LARGEST, RowId
from shedgrade.web.pages import page
from shedgrade.web.spec_list import specs_view
from shedgrade.web.spec_page import spec_page
from shedgrade.web.state import ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter(prefix="/specs")


@dataclass(frozen=True, slots=True)
class ComparisonView:
    """Two specs of one fruit side by side; ``others`` are what else the first can be held against. ``changes`` is None
    before the second is chosen."""

    title: str
    answer: str
    back: str
    back_words: str
    before: str
    after: str
    changes: tuple[Change, ...] | None
    others: list[SpecVersion]


@router.get("")
def listed(request: Request, person: CurrentPerson, session: ReadSession) -> HTMLResponse:
    """The newest version of every spec, by fruit and by market; drafts for those of the shed."""
    return page(request, "specs/list.html", specs_view(session, person))


@router.get("/{spec_version_id}")
def shown(request: Request, person: CurrentPerson, session: ReadSession, spec_version_id: RowId) -> HTMLResponse:
    """One version, to read."""
    return spec_page(request, session, person, specs.version(session, spec_version_id))


@router.get("/{spec_version_id}/file")
def as_file(_person: CurrentPerson, session: ReadSession, spec_version_id: RowId) -> Response:
    """The version's content as it is stored and hashed."""
    row = specs.version(session, spec_version_id)
    return toml_file(row.content, f"{row.spec_key}-version-{row.version}")


@router.get("/{spec_version_id}/comparison")
def compared(
    request: Request,
    _person: CurrentPerson,
    session: ReadSession,
    spec_version_id: RowId,
    other: Annotated[int | None, Query(alias="with", ge=1, le=LARGEST)] = None,
) -> HTMLResponse:
    """What differs from another version, field by field."""
    row = specs.version(session, spec_version_id)
    second = None if other is None else specs.version(session, other)
    changes = None if second is None else compare(specs.spec_in(row), specs.spec_in(second))
    view = ComparisonView(
        title=f"{row.title} compared",
        answer=comparison_answer(changes),
        back=f"/specs/{spec_version_id}",
        back_words=spec_name(row),
        before=spec_name(row),
        after="" if second is None else spec_name(second),
        changes=changes,
        others=[each for each in specs.versions(session) if each.crop_id == row.crop_id and each.id != row.id],
    )
    return page(request, "specs/comparison.html", view)


def comparison_answer(changes: tuple[Change, ...] | None) -> str:
    """What a comparison comes to."""
    if changes is None:
        return "Choose what to compare it with"
    if not changes:
        return "Not a figure or word differs"
    return "1 thing differs" if len(changes) == 1 else f"{len(changes)} things differ"


def spec_name(row: SpecVersion) -> str:
    """What people call a version."""
    return f"{row.title}, version {row.version}"


def toml_file(content: str, name: str) -> Response:
    """A spec as a file to keep."""
    headers = {"content-disposition": f'attachment; filename="{name}.toml"'}
    return Response(content, media_type="application/toml", headers=headers)
