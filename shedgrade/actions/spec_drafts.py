"""Drafts of specs: begun, changed, the last change put back, published, put aside and taken up again."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session

from shedgrade.actions.spec_confirmations import carry_over
from shedgrade.actions.specs import publish
from shedgrade.domain.crop import Crop
from shedgrade.domain.names import name_among
from shedgrade.domain.spec import library
from shedgrade.domain.spec.beginning import begun, own_copy
from shedgrade.domain.spec.comparing import compare
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.own import as_own
from shedgrade.domain.spec.text import write_spec
from shedgrade.storage import spec_drafts, specs
from shedgrade.storage.history import tell
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.storage.stale import StaleError, change_of
from shedgrade.storage.tables import SpecDraft, SpecVersion


class DraftError(ValueError):
    """What cannot be done with a draft; the text is the sentence."""


@dataclass(frozen=True, slots=True)
class Writer:
    """Who writes a spec, and when."""

    person_id: int
    now: datetime


def begin(session: Session, crop: Crop, title: str, by: Writer) -> SpecDraft:
    """A draft from nothing: the least that is a whole spec of this fruit."""
    return _store(session, begun(crop, title, _taken(session)), by)


def copy(session: Session, version: SpecVersion, title: str, by: Writer) -> SpecDraft:
    """A draft of a published version: as a spec of the shed's own under a title, or, without one, as its next version.
    DraftError for the next version of a standard that comes with the program."""
    spec = specs.spec_in(version)
    if not title and version.spec_key in library.standards():
        raise DraftError("A standard that comes with the program stays as it is. Give your copy a title of its own.")
    return _store(session, own_copy(spec, title, _taken(session)) if title else spec, by, version)


def take_in(session: Session, spec: Spec, by: Writer) -> SpecDraft:
    """A draft of a spec that came as a file; it follows the newest version of the same id, if there is one. DraftError
    where the id is that of a standard that comes with the program."""
    if spec.id in library.standards():
        raise DraftError(
            f'The id "{spec.id}" is that of a standard that comes with the program and stays as it is. '
            "Give your spec an id of its own."
        )
    same = [row for row in specs.versions(session) if row.spec_key == spec.id]
    return _store(session, spec, by, max(same, key=lambda row: row.version, default=None))


def change_draft(session: Session, found: DraftWhole, spec: Spec, version: int) -> None:
    """Put a changed spec in the draft's place; nothing is counted where nothing changed. A changed figure without a
    source of its own stands as the shed's own. StaleError if somebody saved meanwhile, DraftError if it has ended."""
    _must_be_open(found)
    spec = as_own(found.spec, spec)
    content = write_spec(spec)
    if content == found.row.content and found.row.version == version:
        return
    _replace(session, found, spec, content, version)


def put_last_change_back(session: Session, found: DraftWhole, version: int) -> None:
    """Put back what the last change replaced; done twice, the change is there again. StaleError, DraftError."""
    _must_be_open(found)
    before = found.row.content_before
    if not before:
        raise DraftError("Nothing has been changed yet.")
    _replace(session, found, specs.read_stored(before), before, version)


def publish_draft(session: Session, found: DraftWhole, version: int, now: datetime) -> SpecVersion:
    """Publish the draft as the next version of its spec; from then on it cannot change. StaleError, DraftError."""
    _must_be_open(found)
    change_of(found.row, version)
    if _titled_alike(session, found.spec):
        raise DraftError(f"Another spec is called {found.spec.title} already. Give this one a title of its own first.")
    before = {row.id for row in specs.versions(session)}
    published = publish(session, found.spec, now)
    if published.id in before:
        raise DraftError(f"Not a word differs from version {published.version}, which is published. Change something.")
    found.row.published_as_id = published.id
    session.add(found.row)
    if found.based_on is not None:
        carry_over(session, found.based_on, published, found.spec)
    session.flush()
    return published


def put_aside(session: Session, found: DraftWhole, version: int, now: datetime) -> None:
    """Leave a draft; it can be taken up again. StaleError, DraftError."""
    _must_be_open(found)
    change_of(found.row, version)
    found.row.put_aside_at = now
    session.add(found.row)
    session.flush()


def take_up(session: Session, found: DraftWhole, version: int) -> None:
    """Go on with a draft that was put aside. StaleError if it was taken up already, or published."""
    if found.row.put_aside_at is None:
        raise StaleError
    change_of(found.row, version)
    found.row.put_aside_at = None
    session.add(found.row)
    session.flush()


def _replace(session: Session, found: DraftWhole, spec: Spec, content: str, version: int) -> None:
    row = found.row
    change_of(row, version)
    tell(row, changed=_changes(found.spec, spec))
    row.content_before, row.content, row.title = row.content, content, spec.title
    session.add(row)
    session.flush()


def _store(session: Session, spec: Spec, by: Writer, based_on: SpecVersion | None = None) -> SpecDraft:
    row = SpecDraft(
        spec_key=spec.id,
        title=spec.title,
        crop_id=spec.crop.id,
        content=write_spec(spec),
        based_on_id=None if based_on is None else based_on.id,
        started_at=by.now,
        started_by_id=by.person_id,
    )
    session.add(row)
    session.flush()
    return row


def _titled_alike(session: Session, spec: Spec) -> bool:
    """Whether a published spec of another id has the same title: markets choose by it."""
    others = (row.title for row in specs.versions(session) if row.spec_key != spec.id)
    return name_among(spec.title, others) is not None


def _taken(session: Session) -> frozenset[str]:
    return spec_drafts.keys_taken(session) | frozenset(library.standards())


def _must_be_open(found: DraftWhole) -> None:
    if found.row.published_as_id is not None:
        raise DraftError("This draft was published, and what is published never changes. Copy it to go on.")
    if found.row.put_aside_at is not None:
        raise DraftError("This draft was put aside. Take it up again to go on.")


def _changes(before: Spec, after: Spec) -> list[tuple[str, str, str]]:
    """What differs: the place, and what stood and stands there, "" for nothing."""
    return [(change.place, change.before, change.after) for change in compare(before, after)]
