"""Published spec versions, read back from the content they were stored by."""

from functools import lru_cache

from sqlmodel import Session, col, select

from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_spec
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import SpecVersion


def version(session: Session, spec_version_id: int) -> SpecVersion:
    """One published version; MissingError if there is none of that id."""
    row = session.get(SpecVersion, spec_version_id)
    if row is None:
        raise MissingError
    return row


def versions(session: Session) -> list[SpecVersion]:
    """Every published version, by fruit and title, the newest first of those that share a title."""
    order = (SpecVersion.crop_id, SpecVersion.title, col(SpecVersion.version).desc())
    return list(session.exec(select(SpecVersion).order_by(*order)))


def newest(session: Session) -> list[SpecVersion]:
    """The newest version of every spec, by fruit and title."""
    latest: dict[str, SpecVersion] = {}
    every = versions(session)
    for row in every:
        if row.spec_key not in latest or latest[row.spec_key].version < row.version:
            latest[row.spec_key] = row
    return [row for row in every if latest[row.spec_key] is row]


def spec_of(session: Session, spec_version_id: int) -> Spec:
    """The spec of a published version; MissingError if there is none of that id."""
    return spec_in(version(session, spec_version_id))


def spec_in(row: SpecVersion) -> Spec:
    """The spec written in a version that was loaded already."""
    return _read(row.content)


@lru_cache(maxsize=128)
def _read(content: str) -> Spec:
    """Equal content is one and the same Spec, so what the grader prepares for it is prepared once."""
    return read_spec(content, library.crops())
