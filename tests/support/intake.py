"""A shed ready to receive: a grower's block, a market, a bin type with its dry tare; and a truck's form, filled in."""

from datetime import date
from typing import NamedTuple

from sqlmodel import Session

from shedgrade.actions.intake import ConsignmentFacts, PickFacts, TareFacts, WeighingFacts, add_bin_type, add_tare
from shedgrade.domain.people import Person, Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.season import RECEIVED, TARES_WEIGHED


class Dock(NamedTuple):
    """Ids of what a truck's form names. Each dry empty weighs 40 kg."""

    grower: int
    block: int
    avocado_block: int
    market: int
    bin_type: int
    tare: int
    person: int

    @property
    def supervisor(self) -> Person:
        """Who stands at the dock."""
        return Person(self.person, "Dock", frozenset([Role.SUPERVISOR]))

    @property
    def grower_person(self) -> Person:
        """Somebody of the grower."""
        return Person(99, "Grower", frozenset([Role.GROWER]), self.grower)


def dock(session: Session) -> Dock:
    """Store what a truck's form names."""
    grower = season.grower(session)
    person = season.shed_person(session, "Dock", Role.SUPERVISOR)
    bin_type = add_bin_type(session, "Half-ton plastic").id or 0
    return Dock(
        grower=grower,
        block=season.block(session, grower),
        avocado_block=season.block(session, grower, "Hill", "avocado"),
        market=season.market(session, season.spec_version(session)),
        bin_type=bin_type,
        tare=dry_tare(session, bin_type, person),
        person=person,
    )


def stored_dock(database: Database) -> Dock:
    """The same, committed."""
    with database.writing() as session:
        ids = dock(session)
        session.commit()
    return ids


def dry_tare(session: Session, bin_type: int, person: int, day: date = TARES_WEIGHED, total_g: int = 200_000) -> int:
    """Five dry empties weighed together."""
    return add_tare(session, bin_type, TareFacts(day, 5, total_g), person).id or 0


def avocado_market(session: Session) -> int:
    """A market whose spec is for another fruit than the mango block grows."""
    spec = next(each for each in library.standards().values() if each.crop.id == "avocado")
    return season.market(session, season.spec_version(session, spec), name="Osmere Export")


def facts(ids: Dock, *weighings: WeighingFacts) -> ConsignmentFacts:
    """A consignment of the mango block, picked and received within the day."""
    return ConsignmentFacts(
        block_id=ids.block,
        market_id=ids.market,
        received_at=RECEIVED,
        weighings=weighings or (WeighingFacts(1, ids.bin_type, ids.tare, 440_000),),
        pick=PickFacts(RECEIVED.replace(hour=0), RECEIVED.replace(hour=2), "Night team", pulp_ddeg=264, grower_bins=1),
    )


def truck_form(ids: Dock, **changes: str) -> dict[str, str]:
    """The form as typed for five bins: one of 440 kg, four together of 1 760 kg; a net of 2 000 kg.

    Changes name fields with _ where the form has -.
    """
    typed = {
        "number": "1042",
        "truck": "Old red",
        "received": "2026-01-14T03:20",
        "block": str(ids.block),
        "market": str(ids.market),
        "picked-from": "2026-01-13T22:00",
        "picked-to": "2026-01-14T02:00",
        "team": "Night team",
        "pulp": "26.4",
        "grower-bins": "5",
        "rows": "6",
        "bins-1": "1",
        "type-1": str(ids.bin_type),
        "gross-1": "440",
        "bins-2": "4",
        "gross-2": "1 760",
        "labels-2": "A1, A2",
        "part-2": "yes",
        "do": "save",
        "shown": "1:400000 4:1600000",
    }
    return typed | {name.replace("_", "-"): value for name, value in changes.items()}
