"""The forms of a draft for somebody who knows fruit and not files: what may be typed, and what the pages say of it."""

import re
from datetime import UTC, datetime
from typing import NamedTuple
from urllib.parse import urlencode

import pytest
from bs4 import BeautifulSoup, Tag

from shedgrade.actions.people import add_person
from shedgrade.actions.spec_drafts import Writer, copy
from shedgrade.actions.specs import publish
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.storage import spec_drafts
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from tests.support.forms import Fields, filled
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)


class Desk(NamedTuple):
    """A manager and a draft of Codex, its tolerances included."""

    database: Database
    draft_id: int
    manager: Visitor

    def at(self, part: str) -> str:
        return f"/drafts/{self.draft_id}/parts/{part}"

    def page(self, part: str) -> BeautifulSoup:
        return parsed(self.manager.get(self.at(part)))

    def send(
        self, part: str, typed: Fields | None = None, *, page: BeautifulSoup | None = None, do: str = ""
    ) -> BeautifulSoup:
        """The page that answers the form as typed; the draft's own where it was saved."""
        form: Fields = filled(page or self.page(part), self.at(part), **(typed or {}))
        answer = self.manager.post(self.at(part), {**form, **({"do": do} if do else {})})
        return parsed(self.manager.get(answer.headers["location"]) if answer.status_code == 303 else answer)

    @property
    def spec(self) -> Spec:
        with self.database.reading() as session:
            return spec_drafts.draft(session, self.draft_id).spec


@pytest.fixture
def desk(sqlite_database: Database) -> Desk:
    with sqlite_database.writing() as session:
        person_id = add_person(session, "Ada Thorne", frozenset({Role.MANAGER}))
        act_as(session, Actor(None, "", NOW))
        row = publish(session, library.standards()["mango-codex-cxs184"], NOW)
        draft_id = copy(session, row, "Own pack", Writer(person_id, NOW)).id or 0
        session.commit()
    return Desk(sqlite_database, draft_id, Visitor(sqlite_database, person_id))


@pytest.mark.parametrize(
    ("typed", "canonical"), [("3,5 cm²", "<= 3.5 cm2"), ("under 3", "< 3 cm2"), ("up to 350 mm²", "<= 3.5 cm2")]
)
def test_a_bound_is_typed_as_people_write_it_and_stored_as_ever(desk: Desk, typed: str, canonical: str) -> None:
    desk.send("limit-skin-marks", {"rows-0-to": typed})
    assert desk.spec.limit("skin-marks").rows[0].to.text() == canonical


def test_a_bound_stands_in_its_form_as_it_is_said(desk: Desk) -> None:
    page = desk.page("sizes")
    assert typed_in(page, "bands-0-to") == "from 200 g to 350 g"
    assert typed_in(desk.page("tolerances"), "tolerance-0-to") == "at most 5 %"


def test_what_can_mean_two_things_is_asked_back_with_buttons_that_fill_it_in(desk: Desk) -> None:
    page = desk.send("sizes", {"bands-0-to": "350 g"})
    assert error_at(page, "bands-0-to").startswith("“350 g” can mean more than one thing: “at most 350 g” or")
    buttons = {" ".join(each.get_text(" ").split()): str(each["value"]) for each in page.select(".read-as button")}
    assert buttons == {
        "Make it “at most 350 g”": "put bands-0-to at most 350 g",
        "Make it “at least 350 g”": "put bands-0-to at least 350 g",
    }
    page = desk.send("sizes", page=page, do=buttons["Make it “at most 350 g”"])
    assert typed_in(page, "bands-0-to") == "at most 350 g"
    assert "Not saved yet" in words(page)
    desk.send("sizes", page=page)
    assert desk.spec.scale.bands[0].to.text() == "<= 350 g"


def test_a_second_condition_on_one_figure_is_refused_and_both_stay_typed(desk: Desk) -> None:
    before = desk.spec
    page = desk.send("limit-skin-marks", do="add rows-1-when")
    first: Fields = {"rows-1-when-0-name": "weight", "rows-1-when-0-to": "over 85 g"}
    page = desk.send("limit-skin-marks", first, page=page, do="add rows-1-when")
    second: Fields = {"rows-1-when-1-name": "weight", "rows-1-when-1-to": "under 100 g"}
    page = desk.send("limit-skin-marks", second, page=page)
    assert error_at(page, "rows-1-when-1-name").startswith("Another condition is on this figure already.")
    assert [typed_in(page, f"rows-1-when-{number}-to") for number in (0, 1)] == ["over 85 g", "under 100 g"]
    assert desk.spec == before
    page = desk.send(
        "limit-skin-marks", {"rows-1-when-0-to": "over 85 g and under 100 g"}, page=page, do="remove rows-1-when-1"
    )
    desk.send("limit-skin-marks", page=page)
    row = next(each for each in desk.spec.limits if each.id == "skin-marks").rows[1]
    assert [(each.name, each.bound.text()) for each in row.when] == [("weight", "> 85 g and < 100 g")]


FILE_WORDS = re.compile(
    r"[<>]=?|\[\[|\btable\b|\b\w+ = |in quotes|\bor_else\b|\bas_on\b|\bas_class\b|\bpackage_times\b|kinds"
)


@pytest.mark.parametrize(
    ("part", "typed"),
    [
        ("limit-skin-marks", {"take": "value"}),
        ("limit-skin-marks", {"take": "spread"}),
        ("limit-skin-marks", {"take": "", "of": ["sap-stain", "rot"]}),
        ("limit-skin-marks", {"by": "length"}),
        ("limit-skin-marks", {"of": []}),
        ("limit-skin-marks", {"take": "ratio"}),
        ("limit-skin-marks", {"second": "dry-matter"}),
        ("limit-skin-marks", {"name": ""}),
        ("limit-skin-marks", {"state": "wet"}),
        ("limit-skin-marks", {"among": "label size"}),
        ("limit-skin-marks", {"as_on-of": "weight", "as_on-size": "big"}),
        ("limit-skin-marks", {"rows-0-to": "", "rows-1-to": "banana"}),
        ("limit-skin-marks", {"rows-0-size": "Z"}),
        ("limit-skin-marks", {"rows-0-days": "summer"}),
        ("limit-skin-marks", {"level": "package"}),
        ("limit-stalk", {"by": "area"}),
        ("sizes", {"of": "", "rounding": "half up to the millimetre"}),
        ("sizes", {"count_in": "three kilos"}),
        ("sizes", {"bands-0-name": "B"}),
        ("sets", {"set-0-below": "", "set-0-meets": ""}),
        ("sets", {"set-0-as_class": "I"}),
        ("tolerances", {"tolerance-0-basis": []}),
        ("tolerances", {"tolerance-0-to": "120 %"}),
        ("tolerances", {"tolerance-0-to": "1 %"}),
        ("tolerances", {"tolerance-0-scope": "package", "tolerance-0-package_times": "2"}),
        ("tolerances", {"tolerance-0-package_times": "half"}),
        ("outlets", {"outlet-0-takes": []}),
        ("outlets", {"outlet-0-id": "Not So"}),
        ("classes", {"class-0-name": ""}),
    ],
    ids=str,
)
def test_a_mistake_is_told_without_words_of_the_file(desk: Desk, part: str, typed: Fields) -> None:
    page = desk.send(part, typed)
    told = [" ".join(each.get_text(" ").split()) for each in page.select(".errors li, .error, .plain-list li")]
    assert told
    assert [each for each in told if FILE_WORDS.search(each)] == []


def test_a_new_limit_is_made_at_the_first_try(desk: Desk) -> None:
    typed: Fields = {"name": "Skin", "of": ["rub", "sunburn"], "rows-0-class": ["I"], "rows-0-to": "at most 4 cm²"}
    assert "Not saved yet" not in words(desk.send("new-limit", typed))
    made = desk.spec.limits[-1]
    assert (made.name, made.measure.of, made.measure.take, made.measure.by) == (
        "Skin",
        ("rub", "sunburn"),
        "sum",
        "area",
    )
    assert [(row.classes, row.to.text()) for row in made.rows] == [(("I",), "<= 4 cm2")]
    assert (typed_in(desk.page("limit-skin"), "take"), typed_in(desk.page("limit-skin"), "by")) == ("sum", "area")


def test_only_what_is_missing_is_asked_for(desk: Desk) -> None:
    page = desk.send("new-limit", {"name": "Skin", "rows-0-to": "at most 4 cm²"})
    assert [str(each["href"]) for each in page.select(".errors a")] == ["#f-of"]
    page = desk.send("new-limit", {"of": ["rub", "rot"]}, page=page)
    assert [str(each["href"]) for each in page.select(".errors a")] == ["#f-take"]
    page = desk.send("new-limit", {"of": ["rot"], "rows-0-to": "", "rows-0-class": ["I"]}, page=page)
    assert [str(each["href"]) for each in page.select(".errors a")] == ["#f-rows-0-to"]


def test_a_short_name_left_empty_is_made_from_the_name(desk: Desk) -> None:
    page = desk.send("new-limit", do="add rows")
    typed: Fields = {"name": "Sunburn, brown", "of": ["sunburn"], "take": "sum", "by": "area", "rows-0-to": "2 cm²"}
    desk.send("new-limit", typed, page=page)
    assert desk.spec.limits[-1].id == "sunburn-brown"
    page = desk.send("classes", do="add class")
    desk.send("classes", {"class-3-name": "Class III"}, page=page)
    assert desk.spec.classes[-1].id == "III"


def test_a_changed_short_name_is_changed_wherever_it_is_spoken_of(desk: Desk) -> None:
    before = desk.spec
    held = [(row.to, row.source) for limit in before.limits for row in limit.rows]
    desk.send("limit-rot", {"id": "decay"})
    desk.send("classes", {"class-1-id": "One", "class-1-name": "First class"})
    desk.send("sizes", {"bands-0-name": "small"})
    desk.send("sets", {"set-0-id": "least", "set-3-id": "not-extra"})
    after = desk.spec
    assert after.limits[0].id == "decay"
    named = [*(each.breaks for each in after.sets), *(each.takes for each in after.outlets)]
    assert [each.count("decay") for each in named if "decay" in each] == [1, 1]
    assert not [each for each in named if "rot" in each]
    assert {each for limit in after.limits for row in limit.rows for each in row.classes} <= {"Extra", "One", "II"}
    assert "small" in {each for limit in after.limits for row in limit.rows for each in row.sizes}
    assert "A" not in {each for limit in after.limits for row in limit.rows for each in row.sizes}
    assert [each.sets for each in after.sets if each.sets] == [("least",)] * 3
    assert any("not-extra" in part.of for each in after.tolerances for part in each.part.parts)
    assert [(row.to, row.source) for limit in after.limits for row in limit.rows] == held


def test_a_short_name_that_is_emptied_stays_what_it_was(desk: Desk) -> None:
    before = desk.spec
    desk.send("classes", {"class-1-name": "Prime", "class-1-id": ""})
    desk.send("limit-rot", {"name": "decay", "id": ""})
    desk.send("sets", {"set-0-name": "the least", "set-0-id": ""})
    desk.send("tolerances", {"tolerance-0-id": "", "tolerance-0-name": "the best"})
    desk.send("outlets", {"outlet-0-id": "", "outlet-0-name": "Bins"})
    after = desk.spec
    assert [(each.id, each.name) for each in after.classes][1] == ("I", "Prime")
    assert (after.limits[0].id, after.limits[0].name) == ("rot", "decay")
    for old, new in ((before.sets, after.sets), (before.tolerances, after.tolerances), (before.outlets, after.outlets)):
        assert old[0].name != new[0].name
        assert [each.id for each in old] == [each.id for each in new]
    assert [limit.rows for limit in after.limits] == [limit.rows for limit in before.limits]


def test_a_class_renamed_is_renamed_in_what_sets_and_tolerances_are_called(desk: Desk) -> None:
    before = desk.spec
    page = desk.send("classes", {"class-1-name": "Prime", "class-1-id": ""})
    after = desk.spec
    of_first = re.compile(r"Class I\b")
    names = [each.name for each in before.sets], [each.name for each in before.tolerances]
    now = [each.name for each in after.sets], [each.name for each in after.tolerances]
    for old, new in zip(names, now, strict=True):
        assert any(of_first.search(name) for name in old)
        assert any("Class II" in name for name in old)
        assert new == [of_first.sub("Prime", name) for name in old]
    changed = sum(bool(of_first.search(name)) for name in (*names[0], *names[1]))
    told = words(page)
    assert "class Prime, name: Class I, now Prime" in told
    assert f"; {changed} names of sets and tolerances changed with it." in told


def test_the_order_of_a_ratio_is_chosen(desk: Desk) -> None:
    measures = [each.id for each in desk.spec.crop.measures]
    page = desk.send("new-limit", do="add rows")
    typed: Fields = {"name": "ratio", "take": "ratio", "rows-0-to": "at least 12"}
    refused = desk.send("new-limit", typed | {"of": measures[:2]}, page=page)
    assert error_at(refused, "second") == "Choose which of the figures the other is divided by."
    for first, second in (measures[:2], measures[1::-1]):
        page = desk.send("new-limit", do="add rows")
        desk.send("new-limit", typed | {"name": f"by {second}", "of": [first], "second": second}, page=page)
        assert desk.spec.limits[-1].measure.of == (first, second)
        assert typed_in(desk.page(f"limit-by-{second}"), "second") == second


def _entry_of(tag: Tag) -> str:
    entry = tag.find_parent("fieldset")
    return "" if entry is None else str(entry["id"])


def test_a_mistake_in_another_part_is_named_and_leads_to_its_row(desk: Desk) -> None:
    page = desk.send("sizes", do="remove bands-0")
    page = desk.send("sizes", page=page)
    assert "It does not go together" in words(page)
    way = page.select(".plain-list a")[0]
    assert way.get_text() == "Limit: skin marks, Row 2, Size"
    assert way["href"] == f"{desk.at('limit-skin-marks')}?at=rows-1-size#f-rows-1-size"
    shown = parsed(desk.manager.get(str(way["href"]).partition("#")[0]))
    opened = [_entry_of(each) for each in shown.select("details.entry-fold[open]")]
    assert opened == ["f-rows-1"]


def test_a_half_typed_new_limit_comes_back_with_its_rows(desk: Desk) -> None:
    page = desk.send("new-limit", page=desk.send("new-limit", do="add rows"), do="add rows")
    typed: Fields = {"name": "sunburn", "of": ["sunburn"], "rows-0-class": ["I", "II"], "rows-0-to": "much"}
    more: Fields = {"rows-1-class": ["Extra"], "rows-1-to": "none"}
    form = filled(page, desk.at("new-limit"), **typed, **more)
    refused = desk.manager.post(desk.at("new-limit"), form)
    assert refused.status_code == 422
    half = urlencode(filled(parsed(refused), desk.at("new-limit")), doseq=True)
    left = {"whose": "1", "next": desk.at("new-limit"), "action": desk.at("new-limit"), "typed": half}
    assert desk.manager.post("/half-typed", left).status_code == 204
    back = desk.page("new-limit")
    assert "No place was found" not in words(back)
    assert [typed_in(back, f"rows-{number}-to") for number in (0, 1)] == ["much", "none"]
    assert [str(box["value"]) for box in back.select('[name^="rows-"][checked]')] == ["I", "II", "Extra"]
    desk.send("new-limit", {"rows-0-to": "at most 2 cm²", "take": "sum", "by": "area"}, page=back)
    assert [row.classes for row in desk.spec.limits[-1].rows] == [("I", "II"), ("Extra",)]


@pytest.mark.parametrize(("part", "entry", "gone"), [("classes", "class-2", "II"), ("sizes", "bands-0", "A")])
def test_what_is_taken_out_goes_from_the_limits_too_by_one_button(desk: Desk, part: str, entry: str, gone: str) -> None:
    before = desk.spec
    page = desk.send(part, page=desk.send(part, do=f"remove {entry}"))
    told = words(page)
    assert "Take it out of the limits too" in told
    assert "did you mean" not in told.casefold()
    assert desk.spec == before
    listed = [each.get_text() for each in page.select(".plain-list")[1].select("li")]
    assert any("skin marks" in each and each.endswith(", taken out") for each in listed)
    desk.send(part, page=page, do="take-out")
    after = desk.spec
    rows = [row for limit in after.limits for row in limit.rows]
    if part == "classes":
        assert [each.id for each in after.classes] == ["Extra", "I"]
        assert not any(gone in row.classes for row in rows)
        assert not any(gone in (each.below, each.meets, each.as_class) for each in after.sets)
        assert not any(gone in each.classes for each in after.tolerances)
        assert len(after.tolerances) < len(before.tolerances)
    else:
        assert [each.name for each in after.scale.bands] == [each.name for each in before.scale.bands][1:]
        assert not any(gone in row.sizes for row in rows)
    assert rows
    draft = f"/drafts/{desk.draft_id}"
    desk.manager.post(f"{draft}/undoing", filled(parsed(desk.manager.get(draft)), f"{draft}/undoing"))
    assert desk.spec == before


def test_a_row_that_is_never_reached_is_said_in_plain_words_and_the_history_without_sources(desk: Desk) -> None:
    page = desk.send("limit-skin-marks", page=desk.send("limit-skin-marks", do="copy rows-0"))
    said = "Row 2 can never be reached: row 1 already speaks of the same fruit. Take one of them out or change whom"
    assert said in words(page, ".errors")
    desk.send("sizes", {"bands-0-to": "from 210 g to 350 g"})
    for address in (f"/drafts/{desk.draft_id}", f"/drafts/{desk.draft_id}/history"):
        told = words(parsed(desk.manager.get(address)))
        assert "now our own" in told
        assert "how it is known" not in told
        assert "sizes, A, section" not in told
    assert "changed the draft Own pack: sizes, A: " in words(
        parsed(desk.manager.get(f"/drafts/{desk.draft_id}/history"))
    )


def test_rows_fold_under_what_they_say_and_open_where_something_is_wrong(desk: Desk) -> None:
    page = desk.page("limit-skin-marks")
    folds = page.select("details.entry-fold")
    assert not [each for each in folds if each.has_attr("open")]
    said = [" ".join(each.select("summary")[0].get_text(" ").split()) for each in folds]
    assert said[0].startswith("Row 1 Extra Class: ")
    page = desk.send("limit-skin-marks", {"rows-1-to": "banana"})
    opened = [_entry_of(each) for each in page.select("details.entry-fold[open]")]
    assert opened == ["f-rows-1"]
    page = desk.send("limit-skin-marks", do="add rows")
    opened = [_entry_of(each) for each in page.select("details.entry-fold[open]")]
    assert opened == [f"f-rows-{len(folds)}"]


def test_known_words_are_offered_to_type(desk: Desk) -> None:
    page = desk.page("limit-skin-marks")
    listed = str(one(page, '[name="rows-0-variety"]')["list"])
    assert [each["value"] for each in page.select(f"#{listed} option")][:1] == [desk.spec.crop.varieties[0]]
    assert "packing" in [each["value"] for each in page.select("#known-stage option")]


def test_a_limit_that_says_nothing_of_a_better_class_is_told_on_the_draft_and_its_trial(desk: Desk) -> None:
    for address in (f"/drafts/{desk.draft_id}", f"/drafts/{desk.draft_id}/trial"):
        assert not parsed(desk.manager.get(address)).select(".notice-watch a")
    page = desk.send("new-limit", do="add rows")
    typed: Fields = {"name": "rub", "id": "rubbed", "of": ["rub"], "take": "sum", "by": "area"}
    desk.send("new-limit", typed | {"rows-0-to": "2 cm²", "rows-0-class": ["I"]}, page=page)
    told = "Extra Class has no limit on rub: fruit with any rub can be Extra Class."
    for address in (f"/drafts/{desk.draft_id}", f"/drafts/{desk.draft_id}/trial"):
        page = parsed(desk.manager.get(address))
        assert told in words(page)
        assert page.select(".notice-watch a")[0]["href"] == f"{desk.at('limit-rubbed')}#f-rows"
    seen = parsed(visitor(desk.database, Role.GRADER).get(f"/drafts/{desk.draft_id}"))
    assert told in words(seen)
    assert not seen.select(".notice-watch a")


def test_a_class_that_no_inspection_can_judge_is_told(desk: Desk) -> None:
    page = desk.page("tolerances")
    number = next(number for number, each in enumerate(desk.spec.tolerances) if not each.classes or "I" in each.classes)
    others = [at for at, each in enumerate(desk.spec.tolerances) if at != number]
    basis: Fields = {f"tolerance-{at}-basis": ["weight"] for at in others}
    page = desk.send("tolerances", {f"tolerance-{number}-basis": ["number"], **basis}, page=page)
    assert "No lot of Class I can be judged" in words(page)
    assert f"“{desk.spec.tolerances[number].name}” only by number" in words(page)
    assert page.select(".notice-watch a")[0]["href"] == desk.at("tolerances")


def test_what_a_new_size_forgets_is_told_before_it_is_published(desk: Desk) -> None:
    page = desk.send("sizes", do="add bands")
    number = len(desk.spec.scale.bands)
    desk.send("sizes", {f"bands-{number}-name": "BB", f"bands-{number}-to": "500 g to 540 g"}, page=page)
    assert desk.spec.scale.bands[-1].name == "BB"
    told = "Skin marks has no row for size BB in Class I or Class II: such fruit are never held against it."
    for way in ("", "/trial", "/publishing"):
        page = parsed(desk.manager.get(f"/drafts/{desk.draft_id}{way}"))
        assert told in words(page)
        assert "Sizes B and BB overlap (from 500 g to 540 g)" in words(page).replace("\u202f", " ")
        ways = [each["href"] for each in page.select(".notice-watch a")]
        assert ways[0] == desk.at("sizes")
        assert f"{desk.at('limit-skin-marks')}#f-rows" in ways
