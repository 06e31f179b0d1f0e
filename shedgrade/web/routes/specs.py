"""Specs: the list by fruit, one version to read, and its file."""

from collections import Counter
from dataclasses import dataclass
from itertools import groupby

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.storage import specs
from shedgrade.storage.tables import SpecVersion
from shedgrade.web.ids import RowId
from shedgrade.web.pages import page
from shedgrade.web.spec_view import spec_view
from shedgrade.web.state import ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter(prefix="/specs")


@dataclass(frozen=True, slots=True)
class SpecLine:
    """The newest version of a spec: its row, its classes and edition, and where its figures come from."""

    row: SpecVersion
    edition: str
    classes: str
    sizes: int
    marks: str


@dataclass(frozen=True, slots=True)
class SpecsView:
    """Specs by fruit."""

    title: str
    answer: str
    fruits: list[tuple[str, list[SpecLine]]]


@router.get("")
def listed(request: Request, _person: CurrentPerson, session: ReadSession) -> HTMLResponse:
    """The newest version of every spec, by fruit."""
    newest = specs.newest(session)
    fruits = [
        (library.crops()[crop_id].name, [_line(row) for row in rows])
        for crop_id, rows in groupby(newest, key=lambda row: row.crop_id)
    ]
    return page(request, "specs/list.html", SpecsView("Specs", _answer(fruits), fruits))


@router.get("/{spec_version_id}")
def shown(request: Request, _person: CurrentPerson, session: ReadSession, spec_version_id: RowId) -> HTMLResponse:
    """One version, to read."""
    row = specs.version(session, spec_version_id)
    view = spec_view(specs.spec_in(row), row, _other_versions(session, row))
    return page(request, "specs/page.html", view)


@router.get("/{spec_version_id}/file")
def as_file(_person: CurrentPerson, session: ReadSession, spec_version_id: RowId) -> Response:
    """The version's content as it is stored and hashed."""
    row = specs.version(session, spec_version_id)
    name = f"{row.spec_key}-version-{row.version}.toml"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(row.content, media_type="application/toml", headers=headers)


def _other_versions(session: Session, row: SpecVersion) -> list[SpecVersion]:
    return [each for each in specs.versions(session) if each.spec_key == row.spec_key and each.id != row.id]


def _line(row: SpecVersion) -> SpecLine:
    spec = specs.spec_in(row)
    classes = ", ".join(each.name for each in spec.classes)
    return SpecLine(row, spec.edition, classes, len(spec.scale.bands), _marks(spec))


def _marks(spec: Spec) -> str:
    """How well its sizes and limits are known: "31 values: 12 from memory, 10 read ..."."""
    sources = [band.source for band in spec.scale.bands]
    sources += [row.source for limit in spec.limits for row in limit.rows]
    counted = Counter(source.mark.value for source in sources)
    return f"{len(sources)} values: {', '.join(f'{found} {mark}' for mark, found in counted.most_common())}."


def _answer(fruits: list[tuple[str, list[SpecLine]]]) -> str:
    if not fruits:
        return "No spec is published yet"
    counted = ", ".join(f"{len(lines)} for {name.lower()}" for name, lines in fruits)
    return f"Specs fruit is judged under: {counted}"
