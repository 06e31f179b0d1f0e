"""A grower is told what the shed did, never by whom: every page, fragment and file is read through for a name."""

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import sqlalchemy
from sqlmodel import Session, col, func, select

from shedgrade.actions.intake import void_consignment
from shedgrade.actions.photos import PhotoFacts, add_photo
from shedgrade.actions.quick_looks import TrayFacts, begin
from shedgrade.actions.samples import void_fruit, void_sample
from shedgrade.actions.voiding import void
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.tables import Block, Consignment, FruitRow, PersonRow, Sample
from tests.walk.records import OWN_GROWER, records
from tests.walk.roles_table import rows
from tests.walk.routes import filled
from tests.walk.test_neighbours import found_in, reached
from tests.walk.walker import Walker, walker

NAME, TABLET, WHY = "Peregrine Quill", "Marigold tablet", "dropped on the floor"
# Whoever is not signed in yet sees who may sign in, on a tablet of the shed or in the demo.
BEFORE_SIGNING_IN = "/sign-in"


def voided_by_named_people(database: Database, grower_id: int) -> list[dict[str, int]]:
    """The shed's people get a name that is no word of the pages, and one of them voids a fruit, a quick look and a
    photo of the grower's newest consignment, a sample of the one before and all of the third: the ids of the three."""
    with database.writing() as session:
        shed = session.exec(select(PersonRow).where(col(PersonRow.grower_id).is_(None))).all()
        person_id, now = shed[0].id or 0, datetime.now(UTC)
        act_as(session, Actor(person_id, TABLET, now))
        for row in shed:
            row.name = f"{NAME} {row.id}"
            session.add(row)
        first, second, third = _looked_at(session, grower_id)
        void_fruit(session, first["fruit_id"], WHY, person_id, now)
        first |= _looks_voided(session, first["consignment_id"], person_id, now)
        void_sample(session, second["sample_id"], WHY, person_id, now)
        load = session.get_one(Consignment, third["consignment_id"])
        void_consignment(session, load, WHY, person_id, now, date(2100, 1, 1))  # when no quote holds it any more
        session.commit()
    return [first, second, third]


def _looks_voided(session: Session, consignment_id: int, person_id: int, now: datetime) -> dict[str, int]:
    """A quick look and a photo, each voided; others of each stand."""
    shown = PhotoFacts(library.crops()["mango"].kind("rub"), b"pixels", 640, 480)
    looks = [begin(session, consignment_id, TrayFacts(16_000, 900, 40), person_id, now) for _ in range(2)]
    photos = [add_photo(session, consignment_id, shown, person_id, now) for _ in range(2)]
    void(session, looks[0], WHY, person_id, now)
    void(session, photos[0], WHY, person_id, now)
    return {"look_id": looks[0].id or 0, "photo_id": photos[0].id or 0}


def _looked_at(session: Session, grower_id: int) -> list[dict[str, int]]:
    query = (
        sqlalchemy.select(
            col(Consignment.id),
            col(Consignment.docket_id),
            col(Consignment.block_id),
            func.min(col(Sample.id)),
            func.min(col(FruitRow.id)),
        )
        .join(Block, col(Block.id) == Consignment.block_id)
        .join(Sample, col(Sample.consignment_id) == Consignment.id)
        .join(FruitRow, col(FruitRow.sample_id) == Sample.id)
        .where(col(Block.grower_id) == grower_id)
        .group_by(col(Consignment.id), col(Consignment.docket_id), col(Consignment.block_id))
        .order_by(col(Consignment.id).desc())
        .limit(3)
    )
    names = ("consignment_id", "docket_id", "block_id", "sample_id", "fruit_id")
    return [dict(zip(names, row, strict=True)) | {"grower_id": grower_id} for row in session.execute(query)]


def pages_of(walks: Walker, ids: dict[str, int]) -> Iterator[tuple[str, str]]:
    """What a grower gets with these ids, whole and as the fragment htmx would get."""
    for row in rows():
        names = {part[1:-1] for part in row.route.path.split("/") if part.startswith("{")}
        if row.route.method == "GET" and not row.along and names and names <= set(ids):
            address = filled(row.route.path, ids)
            for headers in ({}, {"hx-request": "true"}):
                yield f"{address} {headers}", walks.opens(address, **headers).text


def named(pages: dict[str, str]) -> dict[str, list[str]]:
    """Where a name of the shed stands."""
    return {address: found for address, text in pages.items() if (found := found_in(text, {NAME, TABLET}))}


@pytest.mark.parametrize("grower_id", range(1, 7))
def test_no_page_of_a_grower_s_fruit_names_anybody_of_the_shed(demo_database: Database, grower_id: int) -> None:
    voided = voided_by_named_people(demo_database, grower_id)
    walks = walker(demo_database, Role.GROWER, grower_id=grower_id)
    pages = {address: text for ids in voided for address, text in pages_of(walks, ids)}
    assert named(pages) == {}
    told_why = {address.split()[0] for address, text in pages.items() if WHY in text}
    fruit, sample, load = voided
    expected = {
        f"/fruit/{fruit['fruit_id']}",
        f"/samples/{fruit['sample_id']}/history",
        f"/quick-looks/{fruit['look_id']}",
        f"/photos/{fruit['photo_id']}",
        f"/consignments/{fruit['consignment_id']}",
        f"/consignments/{fruit['consignment_id']}/history",
        f"/samples/{sample['sample_id']}",
        f"/consignments/{sample['consignment_id']}",
        f"/consignments/{load['consignment_id']}",
        f"/consignments/{load['consignment_id']}/receipt",
        f"/consignments/{load['consignment_id']}/packout",
        f"/consignments/{load['consignment_id']}/history",
        f"/dockets/{load['docket_id']}",
        f"/blocks/{load['block_id']}",
    }
    assert expected <= told_why


@pytest.mark.parametrize("grower_id", [1, 3, *(pytest.param(each, marks=pytest.mark.long) for each in (2, 4, 5, 6))])
def test_no_page_a_grower_reaches_names_anybody_of_the_shed(demo_database: Database, grower_id: int) -> None:
    voided_by_named_people(demo_database, grower_id)
    walks = walker(demo_database, Role.GROWER, grower_id=grower_id)
    pages = {address: answer.text for address, answer in reached(walks) if not address.startswith(BEFORE_SIGNING_IN)}
    assert len(pages) > 20
    assert named(pages) == {}


def test_nothing_a_grower_is_told_anywhere_names_anybody_of_the_shed(demo_database: Database) -> None:
    """Also where no link leads: at every route, with own, another's and missing ids, refusals included."""
    voided_by_named_people(demo_database, OWN_GROWER)
    walks = walker(demo_database, Role.GROWER)
    ids = records(demo_database, walks.person_id or 0)
    pages = {
        f"{row.route} ({whose})": walks.asks(row, ids.of(whose)).text
        for row in rows()
        for whose in row.answers["grower"]
        if row.route.path != BEFORE_SIGNING_IN
    }
    assert named(pages) == {}


def test_a_name_is_found_where_it_stands(demo_database: Database) -> None:
    """The search itself: the shed's own people read who it was."""
    fruit, *_ = voided_by_named_people(demo_database, OWN_GROWER)
    walks = walker(demo_database, Role.MANAGER)
    history = walks.opens(f"/samples/{fruit['sample_id']}/history").text
    assert found_in(history, {NAME, TABLET}) == [TABLET, NAME]
