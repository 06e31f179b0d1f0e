"""Samples: started, read, drawn from."""

from collections import Counter

import pytest
from bs4 import BeautifulSoup
from sqlmodel import select

from shedgrade import paths
from shedgrade.domain.crop import Crop
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Sample
from shedgrade.web.bench_view import drawing
from shedgrade.web.static_files import static_address
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.season import Mark
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words


def samples(database: Database) -> list[Sample]:
    with database.reading() as session:
        return list(session.exec(select(Sample).order_by("id")))


def test_the_consignment_lists_its_samples_and_starts_one(
    sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    with sqlite_database.writing() as session:
        season.fruit(session, season.draw(session, made.sample), 4120)
        season.fruit(session, season.draw(session, season.sample(session, made.consignment, question="table")), 4120)
        season.sample(session, made.consignment)
        session.commit()
    page = parsed(grader.get(f"/consignments/{made.consignment}"))
    lines = [" ".join(line.get_text(" ").split()) for line in page.select("#samples li")]
    assert "1 fruit from 1 bin" in lines[0]
    assert lines[0].endswith("feeds pack-out")
    assert lines[1].endswith("answers its own question")
    assert lines[2].endswith("no fruit yet, feeds nothing")
    assert one(page, "#samples [name=question][checked]")["value"] == "intake"
    assert typed_in(page, "tray") == str(made.tray)
    assert page.select(f'#samples a[href="/consignments/{made.consignment}/sample-file"]')


def test_starts_a_sample(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    typed = {"question": "packed tray", "tray": str(made.small_tray), "form_key": "one"}
    first, second = (grader.post(f"/consignments/{made.consignment}/samples", typed) for _ in range(2))
    sample = samples(sqlite_database)[-1]
    assert (first.status_code, first.headers["location"]) == (303, f"/samples/{sample.id}")
    assert second.headers["location"] == first.headers["location"]
    assert len(samples(sqlite_database)) == 2
    assert (sample.question, sample.tray_type_id, sample.origin) == ("packed tray", made.small_tray, "bench")


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"question": ""}, "question"),
        ({"question": "the moon"}, "question"),
        ({"tray": ""}, "tray"),
        ({"tray": "999"}, "tray"),
        ({"tray": "abc"}, "tray"),
    ],
)
def test_a_sample_started_wrongly_is_refused(
    changed: dict[str, str], field: str, sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    typed = {"question": "table", "tray": str(made.small_tray), **changed}
    answer = grader.post(f"/consignments/{made.consignment}/samples", typed)
    assert answer.status_code == 422
    page = parsed(answer)
    assert error_at(page, field)
    if field == "tray":
        assert one(page, "[name=question][checked]")["value"] == "table"
    else:
        assert typed_in(page, "tray") == str(made.small_tray)
    assert len(samples(sqlite_database)) == 1


def test_who_may_start(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    start = f"/consignments/{made.consignment}/samples"
    typed = {"question": "intake", "tray": str(made.tray)}
    for person in (
        visitor(sqlite_database, Role.MARKETER),
        visitor(sqlite_database, Role.GROWER, grower_id=made.grower),
    ):
        assert person.post(start, typed).status_code == 403
    foreign = {"origin": "http://elsewhere.example"}
    assert grader.post(start, typed, headers=foreign).status_code == 403
    assert grader.post("/consignments/999/samples", typed).status_code == 404


def test_the_bench_has_every_key_and_works_as_a_plain_form(grader: Visitor, made: Bench) -> None:
    page = parsed(grader.get(f"/samples/{made.sample}"))
    form = one(page, "#fruit-form")
    assert (form["method"], form["action"]) == ("post", f"/samples/{made.sample}/fruit")
    assert "bench" in one(page, "body")["class"]
    assert len(form.select(".bench-defects .defect-key")) == 9
    assert len(form.select(".defect-key")) == 22
    assert [str(key["value"]) for key in form.select("[name=stage]")] == ["1", "2", "3", "4", "5", "6"]
    assert [key.get_text().strip() for key in form.select(".stage-number")] == ["1", "2", "3", "4", "5", "6"]
    assert typed_in(page, "entry_key")
    assert words(page, ".bench-where") == "1042-1, Ridge 3 Tallow Creek 1042"
    assert words(page, ".next-fruit") == "Next: fruit 1, bin 1 of the receipt"
    assert words(page, "#tally").startswith("0 of 50 Extra Class 0")


@pytest.mark.parametrize("crop", library.crops().values(), ids=lambda crop: crop.id)
def test_no_two_defects_of_a_crop_are_drawn_alike(crop: Crop) -> None:
    drawn = Counter(drawing(kind) for kind in crop.kinds)
    assert [name for name, times in drawn.items() if times > 1] == []


@pytest.mark.parametrize("crop", library.crops().values(), ids=lambda crop: crop.id)
def test_every_defect_of_a_crop_is_drawn(crop: Crop, sqlite_database: Database) -> None:
    drawings = parsed_svg((paths.STATIC / "drawings.svg").read_text())
    assert [kind.id for kind in crop.kinds if f"defect-{drawing(kind)}" not in drawings] == []
    spec = next(spec for spec in library.standards().values() if spec.crop.id == crop.id)
    made = bench(sqlite_database, spec)
    grader = visitor(sqlite_database, Role.GRADER)
    page = parsed(grader.get(f"/samples/{made.sample}"))
    shown = [str(use["href"]) for use in page.select(".defect-key use")]
    assert sorted(shown) == sorted(f"{static_address()}/drawings.svg#defect-{drawing(kind)}" for kind in crop.kinds)


def parsed_svg(text: str) -> set[str]:
    """The names of the drawings in a file."""
    return {str(symbol["id"]) for symbol in BeautifulSoup(text, "html.parser").select("symbol")}


def test_what_the_block_has_most_has_its_key_first(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    with sqlite_database.writing() as session:
        draw = season.draw(session, made.sample)
        for kinds in (("hail-mark", "misshape"), ("hail-mark",), ("rub",)):
            season.fruit(session, draw, 4120, *(Mark(kind, 100) for kind in kinds))
        session.connection().exec_driver_sql("UPDATE sample SET started_at = '2020-01-01 00:00:00'")
        session.connection().exec_driver_sql("UPDATE fruit SET measured_at = '2020-01-02 00:00:00'")
        now = season.sample(session, made.consignment, tray_type_id=made.tray)
        session.commit()
    keys = parsed(grader.get(f"/samples/{now}")).select(".defect-key input[type=checkbox]")
    shown = [str(key["value"] if key["name"] == "seen" else key["name"]).removeprefix("mark-") for key in keys]
    assert shown[:4] == ["hail-mark", "misshape", "rub", "sap-stain"]
    assert len(shown) == len(set(shown)) == 22


def test_how_many_fruit_make_a_sample_full_is_the_shed_s_own(
    sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql(
            "INSERT INTO setting (key, valid_from, value, source, set_at, set_by_id)"
            " VALUES ('sample-fruit', '2020-01-01', '30', 'our own choice', '2020-01-01 00:00:00', 1)"
        )
        session.commit()
    assert words(parsed(grader.get(f"/samples/{made.sample}")), ".progress") == "0 of 30"


def test_no_colour_stage_is_chosen_beforehand(grader: Visitor, made: Bench) -> None:
    grader.post(f"/samples/{made.sample}/fruit", {"weight": "412", "stage": "3", "entry_key": "one"})
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert page.select("[name=stage][checked]") == []
    assert "never the blush" in words(page, ".stage-keys legend")


def test_enter_judges_the_fruit(grader: Visitor, made: Bench) -> None:
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert "Judge" in page.select('#fruit-form button[type="submit"]')[0].get_text()


def test_htmx_gets_the_bench_alone(grader: Visitor, made: Bench) -> None:
    fragment = parsed(grader.get(f"/samples/{made.sample}", headers={"hx-request": "true"}))
    assert (len(fragment.select("html")), len(fragment.select("#bench"))) == (0, 1)
    history = {"hx-request": "true", "hx-history-restore-request": "true"}
    assert parsed(grader.get(f"/samples/{made.sample}", headers=history)).select("html")


def test_a_grower_reads_own_sample_and_no_other(sqlite_database: Database, made: Bench) -> None:
    other = bench(sqlite_database, number="1043")
    with sqlite_database.writing() as session:
        draw = season.draw(session, made.sample)
        season.fruit(session, draw, 4120)
        season.void(session, season.fruit(session, draw, 4130))
        session.commit()
    grower = visitor(sqlite_database, Role.GROWER, grower_id=made.grower)
    page = parsed(grower.get(f"/samples/{made.sample}"))
    assert "1 fruit from 1 bin: 1 Extra Class" in words(page, "h1")
    assert page.select("main form") == []
    assert "undone at the bench" in words(page, ".fruit-rows .voided")
    for address in (f"/samples/{other.sample}", f"/samples/{other.sample}/fruit", "/samples/999", "/samples/999/fruit"):
        assert grower.get(address).status_code == 404


def test_the_fruit_come_in_pages(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    with sqlite_database.writing() as session:
        draw = season.draw(session, made.sample)
        for _ in range(103):
            season.fruit(session, draw, 4120)
        session.commit()
    page = parsed(grader.get(f"/samples/{made.sample}/fruit"))
    assert len(page.select(".fruit-rows tbody tr")) == 100
    following = page.find("a", string=lambda text: bool(text and "Next fruit" in text)) or page.select_one(
        'a[href$="after=100"]'
    )
    assert following is not None
    last = parsed(grader.get(f"/samples/{made.sample}/fruit?after=100"))
    assert len(last.select(".fruit-rows tbody tr")) == 3
    assert "no fruit after this one" in words(parsed(grader.get(f"/samples/{made.sample}/fruit?after=500")))
    for after in ("-1", "abc", str(2**40)):
        assert grader.get(f"/samples/{made.sample}/fruit?after={after}").status_code == 404


def test_a_sample_of_another_question_says_it_feeds_no_pack_out(sqlite_database: Database, made: Bench) -> None:
    with sqlite_database.writing() as session:
        sample = season.sample(session, made.consignment, question="reject belt")
        session.commit()
    marketer = visitor(sqlite_database, Role.MARKETER)
    assert "do not feed pack-out" in words(parsed(marketer.get(f"/samples/{sample}")))
