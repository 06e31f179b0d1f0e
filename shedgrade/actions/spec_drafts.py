"""Drafts of specs: begun, changed, changes undone and had again, published, put aside and taken up again."""

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
from shedgrade.domain.spec.merging import Merged, merge
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.own import as_own
from shedgrade.domain.spec.text import Mistake, SpecMistakes, read_tree, tree_of, write_spec
from shedgrade.storage import spec_drafts, specs
from shedgrade.storage.history import tell
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.storage.stale import StaleError, change_of
from shedgrade.storage.tables import SpecDraft, SpecDraftText, SpecVersion


class DraftError(ValueError):
    """What cannot be done with a draft; the text is the sentence."""


class ClashError(StaleError):
    """What somebody changed of a draft meanwhile does not go together with our change: ``merged`` are both, with our
    side where both changed the same rows and with theirs; ``mistakes`` are those of a spec of both."""

    def __init__(self, merged: Merged, mistakes: tuple[Mistake, ...] = ()) -> None:
        super().__init__()
        self.merged = merged
        self.mistakes = mistakes


@dataclass(frozen=True, slots=True)
class Writer:
    """Who writes a spec, and when."""

    person_id: int
    now: datetime


def begin(session: Session, crop: Crop, title: str, by: Writer) -> SpecDraft:
    """A draft from nothing: the least that is a whole spec of this fruit."""
    return _store(session, begun(crop, title, _taken(session)), by)


def copy(session: Session, version: SpecVersion, title: str, by: Writer, edition: str = "") -> SpecDraft:
    """A draft of a published version: as a spec of the shed's own under a title, or, without one, as its next version.
    Its own spec has an edition of its own too, "" for the first.
    DraftError for the next version of a standard that comes with the program."""
    spec = specs.spec_in(version)
    if not title and version.spec_key in library.standards():
        raise DraftError("A standard that comes with the program stays as it is. Give your copy a title of its own.")
    copied = own_copy(spec, title, edition, _taken(session)) if title else spec
    return _store(session, copied, by, version)


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
    """Make the change of a draft that makes this spec of what it was at the version given; what others changed since
    stays. Nothing is counted where nothing changes. A changed figure without a source of its own stands as the shed's
    own. ClashError where the two changes do not go together, StaleError where the text at that version is not known,
    DraftError if it has ended."""
    _must_be_open(found)
    opened = found.spec_at(version)
    if opened is None:
        raise StaleError
    merged = merge(tree_of(opened), tree_of(as_own(opened, spec)), tree_of(found.spec))
    if merged.clash:
        raise ClashError(merged)
    try:
        spec = as_own(found.spec, read_tree(merged.ours, library.crops()))
    except SpecMistakes as both:
        raise ClashError(merged, both.mistakes) from both
    if spec != found.spec:
        _replace(session, found, spec, found.row.version)


def undo(session: Session, found: DraftWhole, version: int) -> None:
    """Go back one change, as often as there are some. StaleError, DraftError."""
    _must_be_open(found)
    _must_be_at(found, version)
    if found.undone is None:
        raise DraftError("Nothing is left to undo.")
    _go_to(session, found, found.undone, version, "undone")


def redo(session: Session, found: DraftWhole, version: int) -> None:
    """Have the change again that was undone last. StaleError, DraftError."""
    _must_be_open(found)
    _must_be_at(found, version)
    if found.redone is None:
        raise DraftError("No undone change can be had again: something else was changed since.")
    _go_to(session, found, found.redone, version, "had again")


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


def _go_to(session: Session, found: DraftWhole, text: SpecDraftText, version: int, how: str) -> None:
    _replace(session, found, specs.read_stored(text.content), version, text_of=text.version, how=how)


def _replace(
    session: Session, found: DraftWhole, spec: Spec, version: int, *, text_of: int = 0, how: str = "changed"
) -> None:
    row = found.row
    change_of(row, version)
    tell(row, changed=_changes(found.spec, spec), how=how, at_version=row.version)
    row.title = spec.title
    session.add(row)
    _keep_text(session, row, spec, text_of or row.version)


def _keep_text(session: Session, row: SpecDraft, spec: Spec, text_of: int) -> None:
    content = write_spec(spec)
    session.add(SpecDraftText(draft_id=row.id or 0, version=row.version, content=content, text_of=text_of))
    session.flush()


def _store(session: Session, spec: Spec, by: Writer, based_on: SpecVersion | None = None) -> SpecDraft:
    row = SpecDraft(
        spec_key=spec.id,
        title=spec.title,
        crop_id=spec.crop.id,
        based_on_id=None if based_on is None else based_on.id,
        started_at=by.now,
        started_by_id=by.person_id,
    )
    session.add(row)
    session.flush()
    _keep_text(session, row, spec, row.version)
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


def _must_be_at(found: DraftWhole, version: int) -> None:
    if found.row.version != version:
        raise StaleError


def _changes(before: Spec, after: Spec) -> list[tuple[str, str, str]]:
    """What differs: the place, and what stood and stands there, "" for nothing."""
    return [(change.place, change.before, change.after) for change in compare(before, after)]
