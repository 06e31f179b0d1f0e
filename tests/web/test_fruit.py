"""The bench's fruit: saved, refused with nothing lost, sent twice, voided."""

import re
from datetime import timedelta
from typing import Any

import pytest
from httpx2 import Response
from sqlmodel import select

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.people import Doer, Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.text import read_spec
from shedgrade.storage.bench import MeasuredFruit, fruit_after
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Draw, FruitRow
from shedgrade.web.pages import say_moment
from shedgrade.web.undoing import NOT_YOURS
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.specs import MARKET
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

HTMX = {"hx-request": "true"}
FULL = {"weight": "412 g", "stage": "3", "mark-sap-stain": "4,6", "mark-rot": "", "entry_key": "one"}


def stored(database: Database, made: Bench) -> list[MeasuredFruit]:
    with database.reading() as session:
        return fruit_after(session, made.sample, 0, 1000)


def send(grader: Visitor, made: Bench, typed: dict[str, Any], **options: Any) -> Response:
    return grader.post(f"/samples/{made.sample}/fruit", typed, **options)


def test_saves_a_fruit_and_shows_it_on_top(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    answer = send(grader, made, FULL)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/samples/{made.sample}")
    (fruit,) = stored(sqlite_database, made)
    assert fruit.fruit == Fruit(4120, 3, (Defect("sap-stain", area_mm2=460),))
    assert (fruit.number, fruit.draw_name, fruit.measured_by) == (1, "bin 1", Doer("grader"))
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert words(page, "#last .class-word") == "Class II"
    said = words(page, "#last")
    assert "sap stain 4.6 cm² is over 4 cm² for size C" in said
    assert "Size C, count 18" in said
    assert words(page, "#tally") == "1 of 50 Extra Class 0 Class I 0 Class II 1 No class 0"
    assert words(page, ".drawn-from") == "1 fruit from 1 bin"
    assert words(page, ".next-fruit") == "Next: fruit 2, bin 1 of the receipt"
    assert one(page, "#fruit-items li a")["href"] == f"/fruit/{fruit.id}"


def test_htmx_gets_only_what_changed(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    answer = send(grader, made, FULL, headers=HTMX)
    assert (answer.status_code, answer.headers["hx-retarget"]) == (200, "#bench-side")
    fragment = parsed(answer)
    assert fragment.select("html, form#fruit-form") == []
    assert words(fragment, "#last .class-word") == "Class II"
    assert typed_in(fragment, "entry_key") not in {"", "one"}
    draw = stored(sqlite_database, made)[0].draw_id
    assert typed_in(fragment, "draw") == str(draw)
    with sqlite_database.reading() as session:
        assert typed_in(fragment, "bin") == str(season.bins_of(session, made.consignment)[0])
    assert words(fragment, ".bench-where") == "1042-1, Ridge 3 Tallow Creek 1042"
    assert "1. Class II" in words(fragment, '[hx-swap-oob="afterbegin:#fruit-items"]')
    assert len(answer.content) < 4_000


def test_after_a_refusal_htmx_gets_the_whole_bench_anew(grader: Visitor, made: Bench) -> None:
    answer = send(grader, made, {**FULL, "refused": "yes"}, headers=HTMX)
    assert (answer.status_code, "hx-retarget" in answer.headers) == (200, False)
    fragment = parsed(answer)
    assert (typed_in(fragment, "weight"), words(fragment, "#last .class-word")) == ("", "Class II")


def test_limits_that_could_not_be_judged_are_named_beside_the_class(
    sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql("UPDATE sample SET looked_for = 'sap-stain'")
        session.commit()
    send(grader, made, {"weight": "412", "entry_key": "one"})
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert "Not judged: rot" in words(page, "#last .not-judged")


def test_a_fruit_of_several_sizes_says_which_it_was_judged_as(sqlite_database: Database, grader: Visitor) -> None:
    made = bench(sqlite_database, library.standards()["avocado-trade-4kg"], number="1044")
    for weight in range(150, 330, 5):
        send(grader, made, {"weight": str(weight), "entry_key": f"w{weight}"})
    page = parsed(grader.get(f"/samples/{made.sample}/fruit"))
    assert ", judged as " in words(page)


def test_a_label_size_is_kept_and_judged_by(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    send(grader, made, {"weight": "412", "size_code": "C", "entry_key": "one"})
    assert stored(sqlite_database, made)[0].size_code == "C"


WEIGHTS = [
    "",
    "   ",
    "abc",
    "-5",
    "0",
    "99999",
    "4,12",
    "1e9",
    "4120",
    "US,GS,+ 0.412kg",
    "S D 411.8 g",
    "9" * 400,
    "٤١٢",
]


@pytest.mark.parametrize("headers", [{}, HTMX])
@pytest.mark.parametrize("weight", WEIGHTS)
def test_a_weight_no_mango_has_is_refused_and_nothing_is_lost(
    weight: str, headers: dict[str, str], grader: Visitor, made: Bench, sqlite_database: Database
) -> None:
    typed = {**FULL, "weight": weight, "mark-rub": "1.5", "mark-rot": "yes", "size_code": "C"}
    answer = send(grader, made, typed, headers=headers)
    assert answer.status_code == 422
    page = parsed(answer)
    assert error_at(page, "weight")
    assert words(page, ".errors li a[href='#f-weight']")
    assert {
        name: typed_in(page, name) for name in ("weight", "mark-sap-stain", "mark-rub", "entry_key", "size_code")
    } == {
        "weight": weight,
        "mark-sap-stain": "4,6",
        "mark-rub": "1.5",
        "entry_key": "one",
        "size_code": "C",
    }
    assert one(page, "[name=stage][checked]")["value"] == "3"
    assert one(page, "[name=mark-rot]").has_attr("checked")
    assert stored(sqlite_database, made) == []
    assert len(page.select("html")) == (0 if headers else 1)


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"mark-rub": "900"}, "mark-rub", "more than the whole surface"),
        ({"mark-rub": "300", "mark-sap-stain": "200"}, "mark-rub", "Together"),
        ({"mark-rub": "-1"}, "mark-rub", "no area to measure"),
        ({"mark-lenticels": "101"}, "mark-lenticels", "no share"),
        ({"seen": "rub"}, "mark-rub", "rub: type its area in cm², or touch it again to lift it."),
        ({"seen": "rub", "mark-rub": "0"}, "mark-rub", "rub: type its area in cm², or touch it again to lift it."),
        ({"seen": "lenticels"}, "mark-lenticels", "type its share of the surface in %, or touch it again"),
        ({"stage": "9"}, "stage", "no stage of this colour scale"),
        ({"stage": "ripe"}, "stage", "not a number"),
        ({"size_code": "A"}, "size_code", 'not size "A"'),
    ],
)
def test_a_field_that_cannot_be_is_refused_by_that_field(
    changed: dict[str, str], field: str, says: str, grader: Visitor, made: Bench, sqlite_database: Database
) -> None:
    answer = send(grader, made, {**FULL, **changed})
    assert answer.status_code == 422
    page = parsed(answer)
    assert says in error_at(page, field)
    assert typed_in(page, "weight") == "412 g"
    assert stored(sqlite_database, made) == []


def test_the_weight_likely_meant_is_put_in_by_a_button(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    wrong = {**FULL, "weight": "0.4125", "seen": "sap-stain"}
    button = one(parsed(send(grader, made, wrong)), 'button[name="put"]')
    assert (button["value"], button["form"]) == ("412.5", "fruit-form")
    answer = send(grader, made, {**wrong, "put": "412"})
    page = parsed(answer)
    assert (answer.status_code, typed_in(page, "weight"), typed_in(page, "mark-sap-stain")) == (200, "412", "4,6")
    assert page.select(".errors") == []
    assert stored(sqlite_database, made) == []


def test_every_touched_key_stays_down_after_a_refusal(grader: Visitor, made: Bench) -> None:
    answer = send(grader, made, {**FULL, "seen": ["rub", "sap-stain"]})
    page = parsed(answer)
    assert answer.status_code == 422
    down = [str(key["value"]) for key in page.select('[name="seen"][checked]')]
    assert down == ["sap-stain", "rub"]
    assert words(page, ".errors li a[href='#f-mark-rub']").startswith("rub: type its area")
    assert one(page, "#f-mark-rub")["aria-describedby"] == "f-mark-rub-error"


def test_a_key_touched_without_a_weight_is_kept_for_the_next_bin(grader: Visitor, made: Bench) -> None:
    page = parsed(grader.post(f"/samples/{made.sample}/draws", {"seen": "rub", "form_key": "one"}))
    assert [str(key["value"]) for key in page.select('[name="seen"][checked]')] == ["rub"]


@pytest.mark.parametrize("changed", [{"mark-moon": "1"}, {"seen": "moon"}])
def test_an_unknown_defect_is_refused(changed: dict[str, str], grader: Visitor, made: Bench) -> None:
    answer = send(grader, made, {**FULL, **changed})
    assert answer.status_code == 422
    assert 'no defect kind "moon"' in words(parsed(answer), ".errors")


def test_the_colour_is_asked_for_where_the_spec_limits_it(sqlite_database: Database, grader: Visitor) -> None:
    made = bench(sqlite_database, read_spec(MARKET, library.crops()), number="1045")
    answer = send(grader, made, {"weight": "412", "entry_key": "one"})
    assert answer.status_code == 422
    assert "choose a colour stage" in error_at(parsed(answer), "stage")


@pytest.mark.parametrize("headers", [{}, HTMX])
def test_the_same_form_twice_is_stored_once_and_answered_alike(
    headers: dict[str, str], grader: Visitor, made: Bench, sqlite_database: Database
) -> None:
    first, second = (send(grader, made, FULL, headers=headers) for _ in range(2))
    assert first.status_code == second.status_code
    assert len(stored(sqlite_database, made)) == 1
    if headers:
        assert words(parsed(first), "#last .class-word") == words(parsed(second), "#last .class-word")
    else:
        assert first.headers["location"] == second.headers["location"]


def test_the_same_form_with_another_fruit_says_both(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    send(grader, made, FULL)
    answer = send(grader, made, {**FULL, "weight": "450"})
    assert answer.status_code == 409
    page = parsed(answer)
    assert "412 g, stage 3, sap stain 4.6 cm²" in words(page, "#last .notice")
    assert (typed_in(page, "weight"), typed_in(page, "mark-sap-stain")) == ("450", "4,6")
    key = typed_in(page, "entry_key")
    assert key != "one"
    assert send(grader, made, {**FULL, "weight": "450", "entry_key": key}).status_code == 303
    assert [each.fruit.weight_dg for each in stored(sqlite_database, made)] == [4120, 4500]


def test_a_form_without_a_key_is_a_new_fruit(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    for _ in range(2):
        assert send(grader, made, {"weight": "412"}).status_code == 303
    assert len(stored(sqlite_database, made)) == 2


@pytest.mark.parametrize("draw", ["", "abc", "-1", "999", "9" * 30])
def test_a_draw_that_is_not_there_is_the_one_opened_last(
    draw: str, grader: Visitor, made: Bench, sqlite_database: Database
) -> None:
    send(grader, made, {**FULL, "draw": draw})
    with sqlite_database.reading() as session:
        assert session.exec(select(Draw.label)).all() == ["bin 1"]


def test_who_may_not(sqlite_database: Database, made: Bench, grader: Visitor) -> None:
    marketer = visitor(sqlite_database, Role.MARKETER)
    grower = visitor(sqlite_database, Role.GROWER, grower_id=made.grower)
    assert send(marketer, made, FULL).status_code == 403
    assert send(grower, made, FULL).status_code == 403
    assert send(Visitor(sqlite_database, None), made, FULL).headers["location"] == "/sign-in"
    foreign = {"origin": "http://elsewhere.example"}
    assert send(grader, made, FULL, headers=foreign).status_code == 403
    assert stored(sqlite_database, made) == []


@pytest.mark.parametrize("sample", ["999", "0", "-1", "abc", str(2**63)])
def test_a_sample_that_is_not_there(sample: str, grader: Visitor) -> None:
    assert grader.post(f"/samples/{sample}/fruit", FULL).status_code == 404


def test_a_sample_from_a_file_takes_no_fruit_at_the_bench(
    sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql("UPDATE sample SET origin = 'file'")
        session.commit()
    answer = send(grader, made, FULL)
    assert (answer.status_code, "came from a file" in words(parsed(answer))) == (409, True)


def saved_id(grader: Visitor, made: Bench, database: Database) -> int:
    send(grader, made, FULL)
    return stored(database, made)[0].id


def test_undo_voids_with_its_reason(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    saved_id(grader, made, sqlite_database)
    page = parsed(grader.get(f"/samples/{made.sample}"))
    form = one(page, ".undo form")
    fields = {str(field["name"]): str(field["value"]) for field in form.select("input[type=hidden]")}
    answer = grader.post(str(form["action"]), fields)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/samples/{made.sample}")
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert "Fruit 1 voided: undone at the bench" in words(page, "#last")
    assert one(page, "#fruit-items .voided a s").get_text() == "Class II"
    assert "Voided by grader" in words(page, "#fruit-items .voided")
    assert words(page, "#tally") == "0 of 50 Extra Class 0 Class I 0 Class II 0 No class 0"
    assert words(page, ".drawn-from") == "0 fruit from 0 bins"


def test_somebody_else_s_fruit_is_said_as_theirs_and_has_no_undo(
    grader: Visitor, made: Bench, sqlite_database: Database
) -> None:
    fruit_id = saved_id(grader, made, sqlite_database)
    other = visitor(sqlite_database, Role.SUPERVISOR)
    page = parsed(other.get(f"/samples/{made.sample}"))
    assert re.fullmatch(r"Last: fruit 1, by grader, today \d\d:\d\d", words(page, ".bench-undo"))
    assert page.select(".undo, .bench-undo button") == []
    answer = other.post(f"/fruit/{fruit_id}/voiding", {"reason": "undone at the bench"})
    assert (answer.status_code, error_at(parsed(answer), "reason")) == (422, NOT_YOURS)
    at_bench = other.post(f"/fruit/{fruit_id}/voiding", {"reason": "undone at the bench"}, headers=HTMX)
    assert (at_bench.status_code, words(parsed(at_bench), "#last")) == (422, NOT_YOURS)
    assert stored(sqlite_database, made)[0].voided is None
    assert other.post(f"/fruit/{fruit_id}/voiding", {"reason": "it was the next bin's"}).status_code == 303


@pytest.mark.parametrize(("days", "when"), [(1, "yesterday"), (2, "")])
def test_one_s_own_fruit_of_another_day_has_no_undo(
    grader: Visitor, made: Bench, sqlite_database: Database, days: int, when: str
) -> None:
    fruit_id = saved_id(grader, made, sqlite_database)
    with sqlite_database.writing() as session:
        row = session.get_one(FruitRow, fruit_id)
        row.measured_at -= timedelta(days=days)
        at = row.measured_at
        session.add(row)
        session.commit()
    page = parsed(grader.get(f"/samples/{made.sample}"))
    said = f"{when} {at:%H:%M}" if when else say_moment(at)
    assert words(page, ".bench-undo") == f"Last: fruit 1, by grader, {said}"
    assert grader.post(f"/fruit/{fruit_id}/voiding", {"reason": "undone at the bench"}).status_code == 422


def test_after_voiding_one_fruit_the_bench_says_which(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    """Not that the newest was saved, with an undo that would void that one too."""
    first = saved_id(grader, made, sqlite_database)
    send(grader, made, {**FULL, "entry_key": "two"})
    answer = grader.post(f"/fruit/{first}/voiding", {"reason": "dropped"})
    page = parsed(grader.get(answer.headers["location"]))
    assert "Fruit 1 voided: dropped" in words(page, "#last")
    assert "measure it again" in words(page, "#last")
    assert page.select(".bench-undo") == []
    assert "saved" not in words(page, "#bench-side")
    send(grader, made, {**FULL, "entry_key": "three"})
    after = parsed(grader.get(f"/samples/{made.sample}"))
    assert "Fruit 3 saved." in words(after, ".bench-undo")
    assert "voided" not in words(after, "#last")


def test_voiding_needs_a_reason(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    fruit = saved_id(grader, made, sqlite_database)
    answer = grader.post(f"/fruit/{fruit}/voiding", {"reason": "  "})
    assert (answer.status_code, error_at(parsed(answer), "reason")) == (422, "Fill this in.")
    long = grader.post(f"/fruit/{fruit}/voiding", {"reason": "x" * 300})
    assert (long.status_code, typed_in(parsed(long), "reason")) == (422, "x" * 300)
    assert stored(sqlite_database, made)[0].voided is None


def test_voided_twice_the_first_reason_stays(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    fruit = saved_id(grader, made, sqlite_database)
    assert grader.post(f"/fruit/{fruit}/voiding", {"reason": "dropped"}).status_code == 303
    assert grader.post(f"/fruit/{fruit}/voiding", {"reason": "dropped"}).status_code == 303
    answer = grader.post(f"/fruit/{fruit}/voiding", {"reason": "wrong bin"})
    assert answer.status_code == 409
    assert "Voided: dropped" in words(parsed(answer))
    voided = stored(sqlite_database, made)[0].voided
    assert voided is not None
    assert (voided.by, voided.reason) == (Doer("grader"), "dropped")


def test_one_fruit_shows_every_reason_and_its_source(grader: Visitor, made: Bench, sqlite_database: Database) -> None:
    page = parsed(grader.get(f"/fruit/{saved_id(grader, made, sqlite_database)}"))
    said = words(page)
    assert said.index("Not Class I ") < said.index("Not Extra Class")
    assert "AGMARK" in said
    assert page.select("form [name=reason]")


def test_a_grower_reads_own_fruit_and_no_other(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    fruit = saved_id(grader, made, sqlite_database)
    other = bench(sqlite_database, number="1046")
    own = visitor(sqlite_database, Role.GROWER, grower_id=made.grower)
    foreign = visitor(sqlite_database, Role.GROWER, grower_id=other.grower)
    page = parsed(own.get(f"/fruit/{fruit}"))
    assert page.select("form") == []
    assert foreign.get(f"/fruit/{fruit}").status_code == 404
    assert own.post(f"/fruit/{fruit}/voiding", {"reason": "mine"}).status_code == 403
    assert grader.get("/fruit/999").status_code == 404
    assert grader.post("/fruit/999/voiding", {"reason": "x"}).status_code == 404
    with sqlite_database.reading() as session:
        assert session.exec(select(FruitRow.voided_at)).one() is None
