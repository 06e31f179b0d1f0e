"""Scales by bench, by token, and what they sent."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, func, select

from shedgrade.domain.people import Deed, Person
from shedgrade.storage.missing import MissingError
from shedgrade.storage.sign_ins import SignedIn, hashed
from shedgrade.storage.tables import PairingCode, PersonRow, Scale, ScaleReading, SignIn, Tablet


@dataclass(frozen=True, slots=True)
class BenchPlace:
    """Where fruit are measured: a tablet of the shed whoever is at it, else the browser of one sign-in."""

    tablet_id: int | None
    sign_in_id: int | None

    @classmethod
    def of(cls, here: SignedIn) -> "BenchPlace":
        """The bench that somebody signed in sits at."""
        return cls(here.tablet_id, None if here.tablet_id is not None else here.id)


@dataclass(frozen=True, slots=True)
class ScaleAt:
    """A scale in a list: the bench it feeds, as people call it."""

    scale: Scale
    bench: str


@dataclass(frozen=True, slots=True)
class Sent:
    """What a bench is told of its scale: the newest reading that came in time, and those that wait, oldest first."""

    newest: ScaleReading | None
    waiting: tuple[ScaleReading, ...]


def at_bench(session: Session, place: BenchPlace) -> Scale | None:
    """The scale paired with this bench."""
    query = select(Scale).where(
        col(Scale.ended_at).is_(None), Scale.tablet_id == place.tablet_id, Scale.sign_in_id == place.sign_in_id
    )
    return session.exec(query).first()


def by_token(session: Session, token: str) -> Scale:
    """The scale whose machine holds this token; MissingError once it or its bench is ended."""
    query = (
        select(Scale)
        .join(Tablet, col(Tablet.id) == Scale.tablet_id, isouter=True)
        .join(SignIn, col(SignIn.id) == Scale.sign_in_id, isouter=True)
        .where(
            Scale.token_sha256 == hashed(token),
            col(Scale.ended_at).is_(None),
            col(Tablet.ended_at).is_(None),
            col(SignIn.ended_at).is_(None),
        )
    )
    if (found := session.exec(query).first()) is None:
        raise MissingError
    return found


def scale_for(session: Session, person: Person, place: BenchPlace, scale_id: int) -> Scale:
    """A scale this person may end: their bench's, or any for who keeps people; MissingError."""
    row = session.get(Scale, scale_id)
    if row is None or row.ended_at is not None:
        raise MissingError
    if BenchPlace(row.tablet_id, row.sign_in_id) != place and not person.may(Deed.KEEP_PEOPLE):
        raise MissingError
    return row


def scales(session: Session, place: BenchPlace | None = None) -> list[ScaleAt]:
    """The scales that are paired, by name: of one bench, or all."""
    query = (
        select(Scale, Tablet.name, PersonRow.name, SignIn.browser)
        .join(Tablet, col(Tablet.id) == Scale.tablet_id, isouter=True)
        .join(SignIn, col(SignIn.id) == Scale.sign_in_id, isouter=True)
        .join(PersonRow, col(PersonRow.id) == SignIn.person_id, isouter=True)
        .where(col(Scale.ended_at).is_(None), col(Tablet.ended_at).is_(None), col(SignIn.ended_at).is_(None))
        .order_by(Scale.name, col(Scale.id))
    )
    if place is not None:
        query = query.where(Scale.tablet_id == place.tablet_id, Scale.sign_in_id == place.sign_in_id)
    return [
        ScaleAt(scale, tablet or f"{browser} of {person}") for scale, tablet, person, browser in session.exec(query)
    ]


def code_at(session: Session, place: BenchPlace, now: datetime) -> PairingCode | None:
    """The code this bench shows, while it is good."""
    query = select(PairingCode).where(
        PairingCode.tablet_id == place.tablet_id, PairingCode.sign_in_id == place.sign_in_id, PairingCode.until > now
    )
    return session.exec(query).first()


def sent(session: Session, scale_id: int) -> Sent:
    """What a scale sent and nobody has put anywhere yet."""
    of_scale = select(ScaleReading).where(ScaleReading.scale_id == scale_id)
    newest = session.exec(
        of_scale.where(col(ScaleReading.waits).is_(False)).order_by(col(ScaleReading.id).desc()).limit(1)
    ).first()
    waiting = session.exec(
        of_scale.where(col(ScaleReading.waits).is_(True), col(ScaleReading.done_at).is_(None)).order_by(
            col(ScaleReading.read_at), col(ScaleReading.id)
        )
    )
    return Sent(newest, tuple(waiting))


def last_number(session: Session, scale_id: int, run: str) -> int:
    """The highest number that came in this run; 0 for none."""
    query = select(func.max(ScaleReading.number)).where(ScaleReading.scale_id == scale_id, ScaleReading.run == run)
    return session.exec(query).one() or 0


def waiting_reading(session: Session, scale_id: int, reading_id: int) -> ScaleReading:
    """One that waits, of this scale; MissingError."""
    row = session.get(ScaleReading, reading_id)
    if row is None or row.scale_id != scale_id or not row.waits or row.done_at is not None:
        raise MissingError
    return row
