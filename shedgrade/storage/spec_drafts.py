"""Drafts of specs."""

from dataclasses import dataclass

from sqlmodel import Session, col, select

from shedgrade.domain.spec.model import Spec
from shedgrade.storage.missing import MissingError
from shedgrade.storage.specs import read_stored
from shedgrade.storage.tables import PersonRow, SpecDraft, SpecVersion


@dataclass(frozen=True, slots=True)
class DraftWhole:
    """A draft, its spec, the version it was copied from (None for one begun anew), and who began it."""

    row: SpecDraft
    spec: Spec
    based_on: SpecVersion | None
    by: str

    @property
    def id(self) -> int:
        """The draft's id."""
        return self.row.id or 0

    @property
    def is_open(self) -> bool:
        """Whether it can still be changed."""
        return self.row.published_as_id is None and self.row.put_aside_at is None


def draft(session: Session, draft_id: int) -> DraftWhole:
    """One draft, also one that has ended; MissingError if there is none of that id."""
    row = session.get(SpecDraft, draft_id)
    if row is None:
        raise MissingError
    based_on = None if row.based_on_id is None else session.get_one(SpecVersion, row.based_on_id)
    return DraftWhole(row, read_stored(row.content), based_on, session.get_one(PersonRow, row.started_by_id).name)


def drafts(session: Session) -> list[SpecDraft]:
    """Every draft that was not published, those still open first, by title."""
    query = select(SpecDraft).where(col(SpecDraft.published_as_id).is_(None))
    return sorted(session.exec(query), key=lambda row: (row.put_aside_at is not None, row.title, row.id))


def keys_taken(session: Session) -> frozenset[str]:
    """The ids that specs and drafts have."""
    return frozenset(session.exec(select(SpecVersion.spec_key))) | frozenset(session.exec(select(SpecDraft.spec_key)))


def newer_than_base(session: Session, found: DraftWhole) -> SpecVersion | None:
    """The newest version that was published of the same spec since the draft was copied; None without any."""
    query = (
        select(SpecVersion).where(SpecVersion.spec_key == found.row.spec_key).order_by(col(SpecVersion.version).desc())
    )
    newest = session.exec(query).first()
    return None if newest is None or newest.id == found.row.based_on_id else newest
