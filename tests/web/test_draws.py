"""At the bench from bin to bin: on to the next, to one that is chosen, and never past one for good."""

import pytest
from httpx2 import Response
from sqlmodel import col, select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Draw
from tests.support import season
from tests.support.bench import Bench
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

HTMX = {"hx-request": "true"}


def draws(database: Database) -> list[str]:
    with database.reading() as session:
        return list(session.exec(select(Draw.label).order_by(col(Draw.id))))


def next_bin(grader: Visitor, made: Bench, key: str, **typed: str) -> Response:
    return grader.post(f"/samples/{made.sample}/draws", {"form_key": key, **typed})


def next_fruit(grader: Visitor, made: Bench) -> str:
    return words(parsed(grader.get(f"/samples/{made.sample}")), ".next-fruit")


def judge(grader: Visitor, made: Bench, key: str) -> None:
    """Save a fruit from the form as it stands."""
    page = parsed(grader.get(f"/samples/{made.sample}"))
    typed = {"weight": "412", "entry_key": key, "draw": typed_in(page, "draw"), "bin": typed_in(page, "bin")}
    assert grader.post(f"/samples/{made.sample}/fruit", typed).status_code == 303


def test_next_bin_goes_round_while_no_fruit_is_drawn(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    first, twice = (next_bin(grader, made, "one") for _ in range(2))
    assert (first.status_code, twice.status_code, draws(sqlite_database)) == (303, 303, ["bin 1"])
    for key, number in (("two", 2), ("three", 3), ("four", 1)):
        next_bin(grader, made, key)
        assert next_fruit(grader, made) == f"Next: fruit 1, bin {number} of the receipt"
    assert draws(sqlite_database) == ["bin 1"]


def test_fruit_are_numbered_one_way(grader: Visitor, made: Bench) -> None:
    judge(grader, made, "a")
    judge(grader, made, "b")
    next_bin(grader, made, "one")
    assert next_fruit(grader, made) == "Next: fruit 3, bin 2 of the receipt"
    judge(grader, made, "c")
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert "Fruit 3 saved." in words(page, ".undo")
    assert words(page, ".next-fruit") == "Next: fruit 4, bin 2 of the receipt"


def test_after_the_next_bin_the_way_back_is_offered_instead_of_undo(grader: Visitor, made: Bench) -> None:
    """A hurried hand that means to take the bin back would take a good fruit away."""
    judge(grader, made, "a")
    next_bin(grader, made, "one")
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert page.select(".undo") == []
    assert "Fruit 1 came from bin 1 of the receipt." in words(page, ".bench-undo")
    back = one(page, ".bench-undo button")
    grader.post(str(back["formaction"]), {"form_key": "two", "to_bin": str(back["value"])})
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert words(page, ".next-fruit") == "Next: fruit 2, bin 1 of the receipt"
    assert "Fruit 1 saved." in words(page, ".undo")


def test_the_last_bins_say_so(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    for key in ("a", "b"):
        judge(grader, made, key)
        next_bin(grader, made, f"next {key}")
    answer = next_bin(grader, made, "only")
    assert answer.status_code == 422
    assert "Bin 3 of the receipt is the only one without fruit yet" in words(parsed(answer), "#last")
    judge(grader, made, "c")
    answer = next_bin(grader, made, "none")
    assert answer.status_code == 422
    assert "Every bin of this consignment has been drawn" in words(parsed(answer), "#last")
    assert draws(sqlite_database) == ["bin 1", "bin 2", "bin 3"]


def test_a_bin_is_chosen_from_a_list(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    judge(grader, made, "a")
    page = parsed(grader.get(f"/samples/{made.sample}"))
    offered = {key.get_text(): str(key["value"]) for key in page.select("#f-to_bin button[name=to_bin]")}
    assert list(offered) == ["bin 1, 1 fruit so far", "bin 2", "bin 3"]
    with sqlite_database.reading() as session:
        bins = season.bins_of(session, made.consignment)
    assert list(offered.values()) == [str(each) for each in bins]
    address = f"/samples/{made.sample}/bins"
    assert grader.post(address, {"to_bin": str(bins[2])}).headers["location"] == f"/samples/{made.sample}"
    assert next_fruit(grader, made).endswith(", bin 3 of the receipt")
    grader.post(address, {"to_bin": str(bins[0])})
    assert next_fruit(grader, made) == "Next: fruit 2, bin 1 of the receipt"
    judge(grader, made, "b")
    assert next_fruit(grader, made) == "Next: fruit 3, bin 1 of the receipt"


@pytest.mark.parametrize("chosen", ["", "abc", "999"])
def test_no_bin_chosen_is_said_and_nothing_is_lost(chosen: str, grader: Visitor, made: Bench) -> None:
    answer = grader.post(f"/samples/{made.sample}/bins", {"to_bin": chosen, "weight": "412", "seen": "rub"})
    assert answer.status_code == 422
    page = parsed(answer)
    assert error_at(page, "to_bin")
    assert (typed_in(page, "weight"), one(page, "[name=seen][checked]")["value"]) == ("412", "rub")


def test_a_label_is_said_with_its_number_on_the_receipt(
    sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql("UPDATE bin SET label = 'Q-17' WHERE number = 2")
        session.commit()
    for key in ("one", "two"):
        next_bin(grader, made, key)
    assert next_fruit(grader, made) == "Next: fruit 1, Q-17, bin 2 of the receipt"


def test_what_was_typed_stays_for_the_next_fruit(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    typed = {"entry_key": "fruit one", "weight": "412", "mark-rub": "1.5", "draw": ""}
    answer = next_bin(grader, made, "one", **typed)
    assert answer.status_code == 200
    page = parsed(answer)
    assert [typed_in(page, name) for name in ("weight", "mark-rub", "entry_key")] == ["412", "1.5", "fruit one"]
    assert "fruit 1, bin 1 of the receipt" in words(page, ".next-fruit")
    assert next_bin(grader, made, "one", **typed).status_code == 303
    assert draws(sqlite_database) == ["bin 1"]


def test_htmx_hears_which_bin_it_is(grader: Visitor, made: Bench) -> None:
    answer = grader.post(f"/samples/{made.sample}/draws", {"form_key": "one"}, headers=HTMX)
    fragment = parsed(answer)
    assert (answer.status_code, words(fragment, "#said")) == (200, "Now bin 1 of the receipt.")
    assert one(fragment, ".next-fruit").has_attr("data-changed")
    assert parsed(next_bin(grader, made, "two", weight="412")).select("main #said") == []


@pytest.mark.parametrize("place", ["draws", "bins"])
def test_who_may_not(place: str, sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    address = f"/samples/{made.sample}/{place}"
    for person in (
        visitor(sqlite_database, Role.MARKETER),
        visitor(sqlite_database, Role.GROWER, grower_id=made.grower),
    ):
        assert person.post(address).status_code == 403
    assert grader.post(address, headers={"origin": "http://elsewhere.example"}).status_code == 403
    assert grader.post(f"/samples/999/{place}").status_code == 404
    assert draws(sqlite_database) == []
