"""Published spec versions, read back from the content they were stored by; which of them are retired; who uses them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from sqlmodel import Session, col, func, select

from shedgrade.domain.people import Doer
from shedgrade.domain.spec import library
from shedgrade.domain.spec.asked import Asked, asked
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_spec
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import Block, Consignment, Market, PersonRow, SpecRetirement, SpecVersion


@dataclass(frozen=True, slots=True)
class Retired:
    """A retirement that stands, and who spoke it out."""

    row: SpecRetirement
    by: Doer


@dataclass(frozen=True, slots=True)
class Users:
    """Who goes by a version: markets by id and name, and how many consignments came in under it."""

    markets: list[tuple[int, str]]
    consignments: int


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
    """Of every spec the newest version that is not retired, by fruit and title; the newest of all where all are."""
    retired = set(_standing_retirements(session))
    latest: dict[str, SpecVersion] = {}
    every = versions(session)
    for row in every:
        best = latest.get(row.spec_key)
        if best is None or (row.id not in retired, row.version) > (best.id not in retired, best.version):
            latest[row.spec_key] = row
    return [row for row in every if latest[row.spec_key] is row]


def of_loads(session: Session, grower_id: int) -> list[SpecVersion]:
    """The versions that a grower's consignments came in under, the voided ones apart, as :func:`versions` has them."""
    query = (
        select(Consignment.spec_version_id)
        .join(Block, col(Block.id) == Consignment.block_id)
        .where(Block.grower_id == grower_id, col(Consignment.voided_at).is_(None))
    )
    theirs = set(session.exec(query))
    return [row for row in versions(session) if row.id in theirs]


def offered(session: Session, *, also: int | None = None) -> list[SpecVersion]:
    """The versions a market may choose: all but the retired ones; ``also`` is the one it has, retired or not."""
    retired = set(_standing_retirements(session)) - {also}
    return [row for row in versions(session) if row.id not in retired]


def retirement_of(session: Session, spec_version_id: int) -> Retired | None:
    """The retirement of a version that stands; None for one that is offered."""
    query = (
        select(SpecRetirement, PersonRow)
        .join(PersonRow, col(PersonRow.id) == SpecRetirement.retired_by_id)
        .where(SpecRetirement.spec_version_id == spec_version_id, col(SpecRetirement.put_back_at).is_(None))
    )
    found = session.exec(query).first()
    return None if found is None else Retired(found[0], Doer(found[1].name, found[1].grower_id))


def retired_ids(session: Session) -> frozenset[int]:
    """The versions that are retired now."""
    return frozenset(_standing_retirements(session))


def newer_than(session: Session, row: SpecVersion) -> SpecVersion | None:
    """The newest later version of the same spec that is not retired; None without any."""
    retired = retired_ids(session)
    later = [each for each in of_spec(session, row.spec_key) if each.version > row.version and each.id not in retired]
    return later[-1] if later else None


def of_spec(session: Session, spec_key: str) -> list[SpecVersion]:
    """Every version of one spec, the oldest first."""
    query = select(SpecVersion).where(SpecVersion.spec_key == spec_key).order_by(col(SpecVersion.version))
    return list(session.exec(query))


def markets_on(session: Session, rows: Iterable[SpecVersion]) -> list[tuple[Market, SpecVersion]]:
    """The markets that buy under these versions, by name, each with its version."""
    ids = [row.id for row in rows]
    query = select(Market, SpecVersion).join(SpecVersion).where(col(SpecVersion.id).in_(ids)).order_by(Market.name)
    return list(session.exec(query))


def users_of(session: Session, spec_version_id: int) -> Users:
    """Who goes by a version."""
    found = select(Market.id, Market.name).where(Market.spec_version_id == spec_version_id).order_by(Market.name)
    counted = select(func.count()).where(Consignment.spec_version_id == spec_version_id)
    return Users([(row_id or 0, name) for row_id, name in session.exec(found)], session.exec(counted).one())


def words_asked(session: Session) -> Mapping[str, Asked]:
    """What each spec that a market can buy under asks for, by version id as a form sends it."""
    return {str(row.id): asked(spec_in(row)) for row in versions(session)}


def spec_of(session: Session, spec_version_id: int) -> Spec:
    """The spec of a published version; MissingError if there is none of that id."""
    return spec_in(version(session, spec_version_id))


def spec_in(row: SpecVersion) -> Spec:
    """The spec written in a version that was loaded already."""
    return read_stored(row.content)


@lru_cache(maxsize=128)
def read_stored(content: str) -> Spec:
    """The spec in a stored text. Equal content is one and the same Spec, so what the grader prepares for it is prepared
    once."""
    return read_spec(content, library.crops())


def _standing_retirements(session: Session) -> list[int]:
    query = select(SpecRetirement.spec_version_id).where(col(SpecRetirement.put_back_at).is_(None))
    return list(session.exec(query))
