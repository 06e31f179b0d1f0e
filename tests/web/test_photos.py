"""Photos of faults: sent, shown to those who may see the consignment, voided, refused."""

import pytest
from httpx2 import Response
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Photo
from tests.support import season
from tests.support.bench import Bench
from tests.support.pictures import PLACE, as_bytes, claiming, picture, with_place
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words


@pytest.fixture
def start(made: Bench) -> str:
    return f"/consignments/{made.consignment}/photos"


def send(
    person: Visitor, start: str, content: bytes = b"", kind: str = "sap-stain", name: str = "IMG_1.jpg", **typed: str
) -> Response:
    files = {"photo": (name, content or as_bytes(picture()), "image/jpeg")}
    return person.post(start, {"kind": kind, **typed}, files=files)


def stored(database: Database) -> list[Photo]:
    with database.reading() as session:
        return list(session.exec(select(Photo).order_by(Photo.id)))  # type: ignore[arg-type]


def test_a_photo_is_sent_and_shown_with_words_in_its_place(
    sqlite_database: Database, grader: Visitor, grower: Visitor, made: Bench, start: str
) -> None:
    form = parsed(grader.get(f"{start}/new"))
    field = one(form, "input[type=file]")
    assert (field["accept"], field["capture"]) == ("image/*", "environment")
    assert "Without a connection to the shed it is not sent" in words(form)
    for _ in range(2):  # sent twice, kept once
        answer = send(grader, start, with_place(), form_key="one")
        assert (answer.status_code, answer.headers["location"]) == (303, f"/consignments/{made.consignment}#photos")
    (photo,) = stored(sqlite_database)
    assert PLACE not in photo.content
    for person, by in ((grader, "grader"), (grower, "the shed")):
        page = parsed(person.get(f"/consignments/{made.consignment}"))
        image = one(page, "#photos img")
        assert str(image["alt"]).startswith("Sap stain, photo 1 of 1, taken ")
        assert str(image["alt"]).endswith(f"by {by}")
        assert (image["width"], image["height"]) == ("300", "600")
        assert one(parsed(person.get(f"/photos/{photo.id}")), "main img")["alt"] == image["alt"]


def test_the_file_is_handed_out_as_a_picture_and_nothing_else(
    sqlite_database: Database, grader: Visitor, grower: Visitor, start: str
) -> None:
    send(grader, start, name="fruit.html")
    for person in (grader, grower):
        answer = person.get("/photos/1/file")
        assert answer.content == stored(sqlite_database)[0].content
        assert answer.headers["content-type"] == "image/jpeg"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'; sandbox"
        assert answer.headers["cache-control"] == "no-store"


def test_three_of_a_fault_and_no_more_until_one_is_voided(
    sqlite_database: Database, grader: Visitor, made: Bench, start: str
) -> None:
    for _ in range(3):
        assert send(grader, start).status_code == 303
    fourth = send(grader, start)
    assert fourth.status_code == 422
    assert error_at(parsed(fourth), "kind") == "There are 3 photos of sap stain already; void one of them first."
    assert typed_in(parsed(fourth), "kind") == "sap-stain"
    assert send(grader, start, kind="rub").status_code == 303
    grader.post("/photos/2/voiding", {"reason": "a thumb"})
    assert send(grader, start).status_code == 303
    page = parsed(grader.get(f"/consignments/{made.consignment}"))
    said = [str(image["alt"]).split(", taken")[0] for image in page.select("#photos img")]
    assert said == [*(f"Sap stain, photo {number} of 3" for number in (1, 2, 3)), "Rub, photo 1 of 1"]
    assert [photo.place for photo in stored(sqlite_database)] == [1, 2, 3, 1, 2]


def test_a_voided_photo_is_told_with_its_reason_and_shown_to_the_shed_alone(
    sqlite_database: Database, grader: Visitor, grower: Visitor, made: Bench, start: str
) -> None:
    send(grader, start)
    refused = grader.post("/photos/1/voiding", {"reason": " "})
    assert (refused.status_code, error_at(parsed(refused), "reason")) == (422, "Fill this in.")
    assert grader.post("/photos/1/voiding", {"reason": "somebody in it"}).status_code == 303
    again = grader.post("/photos/1/voiding", {"reason": "wrong fruit"})
    assert again.status_code == 409
    assert "Voided: somebody in it" in words(parsed(again))
    assert grader.get("/photos/1/file").status_code == 200
    assert grower.get("/photos/1/file").status_code == 404
    page = parsed(grower.get(f"/consignments/{made.consignment}"))
    assert page.select("#photos img") == []
    assert "Voided by the shed" in words(page, "#photos .voided")
    assert words(page, "#photos .voided").endswith("somebody in it")
    assert parsed(grower.get("/photos/1")).select("main img, main form") == []
    assert len(stored(sqlite_database)) == 1
    history = words(parsed(grower.get(f"/consignments/{made.consignment}/history")))
    assert "The shed took photo 1 of sap stain" in history
    assert "The shed voided the photo: somebody in it" in history


@pytest.mark.parametrize(
    ("content", "kind", "field", "sentence"),
    [
        (b"<html><script>alert(1)</script>", "sap-stain", "photo", "is no photo"),
        (claiming(60_000, 60_000), "sap-stain", "photo", "megapixels are accepted"),
        (b"\xff\xd8" + b"\x00" * 12_100_000, "sap-stain", "photo", "at most 12 MB"),
        (b"", "bites", "kind", "not one of the choices"),
        (b"", "", "kind", "Choose one."),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_nothing_is_kept(
    sqlite_database: Database,
    grader: Visitor,
    start: str,
    content: bytes,
    kind: str,
    field: str,
    sentence: str,
) -> None:
    answer = send(grader, start, content, kind)
    assert answer.status_code == 422
    assert sentence in error_at(parsed(answer), field)
    assert stored(sqlite_database) == []


def test_a_form_without_a_photo_asks_for_one(sqlite_database: Database, grader: Visitor, start: str) -> None:
    for answer in (grader.post(start, {"kind": "rub"}), grader.post(start, {"kind": "rub", "photo": "IMG_1.jpg"})):
        assert answer.status_code == 422
        assert error_at(parsed(answer), "photo") == "Take a photo, or choose one."
    assert stored(sqlite_database) == []


def test_a_body_over_the_limit_is_refused(sqlite_database: Database, grader: Visitor, start: str) -> None:
    assert send(grader, start, b"\xff" * 17_000_000).status_code == 413
    assert stored(sqlite_database) == []


def test_a_voided_consignment_takes_no_photo(
    sqlite_database: Database, grader: Visitor, made: Bench, start: str
) -> None:
    supervisor = visitor(sqlite_database, Role.SUPERVISOR)
    supervisor.post(f"/consignments/{made.consignment}/voiding", {"reason": "saved twice"})
    assert send(grader, start).status_code == 409
    assert grader.get(f"{start}/new").status_code == 409
    assert stored(sqlite_database) == []


def test_who_may_not(sqlite_database: Database, grader: Visitor, grower: Visitor, start: str) -> None:
    send(grader, start)
    with sqlite_database.writing() as session:
        other = season.grower(session, "Quillock")
        session.commit()
    for person in (visitor(sqlite_database, Role.MARKETER), grower):
        assert person.get(f"{start}/new").status_code == 403
        assert send(person, start).status_code == 403
        assert person.post("/photos/1/voiding", {"reason": "mine"}).status_code == 403
        assert parsed(person.get("/photos/1")).select("main form") == []
    stranger = visitor(sqlite_database, Role.GROWER, grower_id=other)
    assert [stranger.get(f"/photos/1{part}").status_code for part in ("", "/file")] == [404, 404]
    nobody = Visitor(sqlite_database, None)
    assert [nobody.get(f"/photos/1{part}").status_code for part in ("", "/file")] == [303, 303]
    elsewhere = grader.post(
        start, {"kind": "rub"}, files={"photo": ("a.jpg", as_bytes(picture()))}, headers={"origin": "http://x.example"}
    )
    assert elsewhere.status_code == 403
    assert grader.get("/photos/99/file").status_code == 404
    assert send(grader, "/consignments/999/photos").status_code == 404
    assert len(stored(sqlite_database)) == 1
