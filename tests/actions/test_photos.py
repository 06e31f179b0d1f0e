"""Photos on both databases: three of a kind, each in a place of its own, the pixels as they were given."""

from datetime import UTC, datetime

import pytest

from shedgrade.actions.photos import EnoughPhotosError, PhotoFacts, add_photo
from shedgrade.actions.voiding import void
from shedgrade.domain.people import Person, Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as, changes_of
from shedgrade.storage.photos import content_of, photo_for, photos_of
from tests.support.bench import bench

NOW = datetime(2026, 2, 3, 12, tzinfo=UTC)
MANAGER = Person(1, "", frozenset({Role.MANAGER}))
PIXELS = bytes(range(256))
SAP_STAIN = PhotoFacts(library.crops()["mango"].kind("sap-stain"), PIXELS, 640, 480)


def test_the_pixels_are_kept_and_only_read_where_they_are_shown(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        act_as(session, Actor(made.grader, "Bench tablet 1", NOW))
        photo_id = add_photo(session, made.consignment, SAP_STAIN, made.grader, NOW).id or 0
        session.commit()
    with database.reading() as session:
        (taken,) = photos_of(session, [made.consignment])[made.consignment]
        assert "content" not in vars(taken.row)
        assert content_of(session, photo_id) == PIXELS
        (told,) = changes_of(session, [("photo", photo_id)])
        assert told.after["shows"] == "sap stain"
        assert "content" not in told.after


def test_there_are_three_of_a_kind_and_a_voided_one_gives_its_place_back(database: Database) -> None:
    made = bench(database)
    with database.writing() as session:
        act_as(session, Actor(made.grader, "Bench tablet 1", NOW))
        ids = [add_photo(session, made.consignment, SAP_STAIN, made.grader, NOW).id or 0 for _ in range(3)]
        with pytest.raises(EnoughPhotosError):
            add_photo(session, made.consignment, SAP_STAIN, made.grader, NOW)
        second = photo_for(session, MANAGER, ids[1])[2].row
        assert [void(session, second, why, made.grader, NOW) for why in ("a thumb", "a thumb", "dark")] == [
            True,
            True,
            False,
        ]
        assert add_photo(session, made.consignment, SAP_STAIN, made.grader, NOW).place == 2
        session.commit()
    with database.reading() as session:
        voided = photo_for(session, MANAGER, ids[1])[2].voided
        assert voided is not None
        assert voided.reason == "a thumb"
        assert content_of(session, ids[1]) == PIXELS
