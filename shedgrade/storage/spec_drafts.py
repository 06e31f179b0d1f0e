"""Drafts of specs."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from sqlmodel import Session, col, select

from shedgrade.domain.spec.model import Spec
from shedgrade.storage.missing import MissingError
from shedgrade.storage.specs import read_stored
from shedgrade.storage.tables import PersonRow, SpecDraft, SpecDraftText, SpecVersion


@dataclass(frozen=True, slots=True)
class DraftWhole:
    """A draft, its texts, the oldest first, the version it was copied from (None for one begun anew), and who began
    it."""

    row: SpecDraft
    texts: Sequence[SpecDraftText]
    based_on: SpecVersion | None
    by: str

    @property
    def id(self) -> int:
        """The draft's id."""
        return self.row.id or 0

    @property
    def content(self) -> str:
        """Its canonical text."""
        return self.texts[-1].content

    @property
    def spec(self) -> Spec:
        """The spec as it stands."""
        return read_stored(self.content)

    @property
    def undone(self) -> SpecDraftText | None:
        """The text that undoing goes back to; None where nothing is left to undo."""
        place = next(at for at, text in enumerate(self.texts) if text.version == self.texts[-1].text_of)
        return self._text_of(self.texts[place - 1]) if place else None

    @property
    def redone(self) -> SpecDraftText | None:
        """The text that the last undoing came from and that can be had again; None after any other change."""
        last = self.texts[-1]
        if last.text_of == last.version:
            return None
        after = [
            text
            for before, text in pairwise(self.texts)
            if text.text_of == text.version and before.text_of == last.text_of
        ]
        return after[-1] if after else None

    def spec_at(self, version: int) -> Spec | None:
        """The spec that a form opened at this version was made from; None where no text of it is known."""
        texts = [text for text in self.texts if text.version <= version <= self.row.version]
        return read_stored(texts[-1].content) if texts else None

    def _text_of(self, text: SpecDraftText) -> SpecDraftText:
        return next(each for each in self.texts if each.version == text.text_of)

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
    texts = select(SpecDraftText).where(SpecDraftText.draft_id == draft_id).order_by(col(SpecDraftText.version))
    return DraftWhole(row, session.exec(texts).all(), based_on, session.get_one(PersonRow, row.started_by_id).name)


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
