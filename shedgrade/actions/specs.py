"""Publishing specs: stored by content, never changed afterwards; retired and put back."""

from collections.abc import Mapping
from datetime import datetime
from hashlib import sha256

from sqlmodel import Session, col, func, select

from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import write_spec
from shedgrade.storage import specs
from shedgrade.storage.history import tell
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import SpecRetirement, SpecVersion


def publish(session: Session, spec: Spec, now: datetime) -> SpecVersion:
    """Store a spec as the next version of its key; the row that is there if the same content was published before."""
    content = write_spec(spec)
    hashed = sha256(content.encode()).hexdigest()
    there = session.exec(select(SpecVersion).where(SpecVersion.sha256 == hashed)).first()
    if there is not None:
        return there
    row = SpecVersion(
        spec_key=spec.id,
        version=_newest(session, spec.id) + 1,
        title=spec.title,
        crop_id=spec.crop.id,
        content=content,
        sha256=hashed,
        published_at=now,
    )
    session.add(row)
    session.flush()
    return row


def publish_standards(session: Session, now: datetime) -> Mapping[str, SpecVersion]:
    """Put in every published standard that comes with the program, by spec id; those already in stay as they are."""
    return {spec_id: publish(session, spec, now) for spec_id, spec in library.standards().items()}


def retire(session: Session, version: SpecVersion, reason: str, by: int, now: datetime) -> None:
    """Offer a version to no new market; what uses it goes on. StaleError if it is retired already."""
    if specs.retirement_of(session, version.id or 0) is not None:
        raise StaleError
    row = SpecRetirement(spec_version_id=version.id or 0, reason=reason, retired_at=now, retired_by_id=by)
    tell(row, why=reason)
    session.add(row)
    session.flush()


def put_back(session: Session, version: SpecVersion, by: int, now: datetime) -> None:
    """Offer a retired version again; StaleError if it is not retired."""
    found = specs.retirement_of(session, version.id or 0)
    if found is None:
        raise StaleError
    found.row.put_back_at, found.row.put_back_by_id = now, by
    session.add(found.row)
    session.flush()


def _newest(session: Session, spec_key: str) -> int:
    return session.exec(select(func.max(col(SpecVersion.version))).where(SpecVersion.spec_key == spec_key)).one() or 0
