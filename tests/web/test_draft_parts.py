"""Editing a draft by forms: every part, its lists, mistakes beside their fields, two people at once."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import NamedTuple

import pytest
from bs4 import Tag

from shedgrade.actions.people import add_person
from shedgrade.actions.spec_drafts import Writer, copy
from shedgrade.actions.specs import publish
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.storage import spec_drafts
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from shedgrade.web.draft_fields import parts_of
from tests.support.forms import Fields, filled
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)


class Desk(NamedTuple):
    """Two managers and a draft of Codex."""

    database: Database
    draft_id: int
    first: Visitor
    second: Visitor

    def address(self, part: str) -> str:
        return f"/drafts/{self.draft_id}/parts/{part}"

    @property
    def spec(self) -> Spec:
        with self.database.reading() as session:
            return spec_drafts.draft(session, self.draft_id).spec

    @property
    def version(self) -> int:
        with self.database.reading() as session:
            return spec_drafts.draft(session, self.draft_id).row.version


def draft_of(database: Database, spec: Spec) -> int:
    with database.writing() as session:
        act_as(session, Actor(None, "", NOW))
        row = publish(session, spec, NOW)
        draft_id = copy(session, row, "Own pack", Writer(1, NOW)).id or 0
        session.commit()
    return draft_id


@pytest.fixture
def desk(sqlite_database: Database) -> Desk:
    with sqlite_database.writing() as session:
        people = [add_person(session, name, frozenset({Role.MANAGER})) for name in ("Ada Thorne", "Bert Moss")]
        session.commit()
    codex = replace(library.standards()["mango-codex-cxs184"], sets=(), tolerances=())
    draft_id = draft_of(sqlite_database, codex)
    return Desk(sqlite_database, draft_id, *(Visitor(sqlite_database, person_id) for person_id in people))


def plain(text: str) -> str:
    return text.replace("\u202f", " ").replace("\u00a0", " ")


def opened(desk: Desk, part: str, **typed: str | list[str]) -> Fields:
    return filled(parsed(desk.first.get(desk.address(part))), desk.address(part), **typed)


@pytest.mark.parametrize("spec", library.standards().values(), ids=lambda spec: spec.id)
def test_a_form_saved_as_it_stands_changes_nothing(desk: Desk, spec: Spec) -> None:
    own = desk._replace(draft_id=draft_of(desk.database, spec))
    before = own.spec
    for part, _, _ in parts_of(before):
        if part != "new-limit":
            answer = own.first.post(own.address(part), opened(own, part))
            assert answer.status_code == 303, (part, words(parsed(answer)))
    assert own.spec == before
    assert own.version == 1


def test_a_row_is_changed_and_the_history_says_what(desk: Desk) -> None:
    form = opened(desk, "sizes", **{"bands-0-to": ">= 210 g and <= 350 g"})
    assert desk.first.post(desk.address("sizes"), form).status_code == 303
    assert desk.spec.scale.bands[0].to.text() == ">= 210 g and <= 350 g"
    told = plain(words(parsed(desk.first.get(f"/drafts/{desk.draft_id}/history"))))
    assert "from 200 g to 350 g" in told
    assert "from 210 g to 350 g" in told


def test_a_row_is_added_moved_copied_and_taken_out_by_buttons_and_what_is_typed_stays(desk: Desk) -> None:
    address = desk.address("sizes")
    form = opened(desk, "sizes", **{"bands-2-to": ">= 551 g and <= 810 g"})
    page = parsed(desk.first.post(address, {**form, "do": "add bands"}))
    assert "Not saved yet" in words(page)
    assert typed_in(page, "bands-2-to") == ">= 551 g and <= 810 g"
    assert page.select("[autofocus]")[0]["name"] == "bands-3-name"
    form = filled(page, address, **{"bands-3-name": "D", "bands-3-to": "> 810 g"})
    page = parsed(desk.first.post(address, {**form, "do": "up bands-3"}))
    assert [typed_in(page, f"bands-{number}-name") for number in range(4)] == ["A", "B", "D", "C"]
    page = parsed(desk.first.post(address, {**filled(page, address), "do": "remove bands-0"}))
    assert [typed_in(page, f"bands-{number}-name") for number in range(3)] == ["B", "D", "C"]
    page = parsed(desk.first.post(address, {**filled(page, address), "do": "copy bands-0"}))
    assert [typed_in(page, f"bands-{number}-name") for number in range(4)] == ["B", "B", "D", "C"]
    page = parsed(desk.first.post(address, {**filled(page, address), "do": "down bands-2"}))
    assert [typed_in(page, f"bands-{number}-name") for number in range(4)] == ["B", "B", "C", "D"]
    assert desk.version == 1
    form = filled(page, address, **{"bands-1-name": "B2", "bands-1-to": ">= 400 g and <= 450 g"})
    answer = desk.first.post(address, form)
    assert answer.status_code == 422  # limits still speak of size A
    assert "Limit: skin marks, Row 2, Size : “A” cannot stand here" in words(parsed(answer), "main")


@pytest.mark.parametrize(
    "deed",
    [
        "",
        "add",
        "add nothing",
        "up bands-99",
        "up bands-²",
        "up bands-" + "9" * 5000,
        "remove bands-x",
        "fly bands-0",
        "up -",
        "copy bands",
    ],
)
def test_a_deed_that_makes_no_sense_loses_nothing(desk: Desk, deed: str) -> None:
    address = desk.address("sizes")
    answer = desk.first.post(address, {**opened(desk, "sizes", **{"bands-0-name": "AA"}), "do": deed or "x"})
    assert answer.status_code == 200
    assert typed_in(parsed(answer), "bands-0-name") == "AA"


def test_a_mistake_stands_beside_its_field_and_what_was_typed_stays(desk: Desk) -> None:
    address = desk.address("limit-skin-marks")
    answer = desk.first.post(
        address, opened(desk, "limit-skin-marks", **{"rows-0-to": "<= 3 cm", "rows-1-class": "Ex"})
    )
    page = parsed(answer)
    assert answer.status_code == 422
    assert error_at(page, "rows-0-to").startswith(
        "“cm” as the unit of an area cannot stand here; accepted: an amount such as “at most 4 cm²”"
    )
    assert "Extra" in error_at(page, "rows-1-class")
    assert typed_in(page, "rows-0-to") == "<= 3 cm"
    assert {str(link["href"]) for link in page.select(".errors a")} == {"#f-rows-0-to", "#f-rows-1-class"}
    assert "Row 1, Allowed" in words(page, ".errors")
    assert desk.version == 1


def test_a_new_limit_is_added_with_its_rows(desk: Desk) -> None:
    address = desk.address("new-limit")
    page = parsed(desk.first.post(address, {**opened(desk, "new-limit"), "do": "add rows"}))
    typed: Fields = {"name": "sunburn", "id": "burnt", "of": ["sunburn"], "take": "sum", "by": "area"}
    form = filled(page, address, **typed | {"rows-0-class": ["I", "II"], "rows-0-to": "2 cm²"})
    assert desk.first.post(address, form).status_code == 303
    limit = desk.spec.limits[-1]
    assert (limit.id, limit.rows[0].classes, limit.rows[0].to.text()) == ("burnt", ("I", "II"), "<= 2 cm2")


def test_an_empty_row_is_no_row(desk: Desk) -> None:
    address = desk.address("limit-skin-marks")
    page = parsed(desk.first.post(address, {**opened(desk, "limit-skin-marks"), "do": "add rows"}))
    before = desk.spec
    assert desk.first.post(address, filled(page, address)).status_code == 303
    assert desk.spec == before


def test_a_limit_is_taken_out_and_moved(desk: Desk) -> None:
    address = desk.address("limits")
    names = [limit.id for limit in desk.spec.limits]
    page = parsed(desk.first.post(address, {**opened(desk, "limits"), "do": "up limit-1"}))
    assert desk.first.post(address, filled(page, address)).status_code == 303
    assert [limit.id for limit in desk.spec.limits] == [names[1], names[0], *names[2:]]


def test_what_other_parts_lean_on_is_not_taken_out(desk: Desk) -> None:
    address = desk.address("limits")
    page = parsed(desk.first.post(address, {**opened(desk, "limits"), "do": "remove limit-0"}))
    answer = desk.first.post(address, filled(page, address))
    assert answer.status_code == 422
    assert "other parts of the spec would no longer hold" in words(parsed(answer))
    assert "Outlets, Outlet 1, Takes fruit that" in words(parsed(answer))
    assert desk.version == 1


def test_tolerances_with_what_stands_inside_them(desk: Desk) -> None:
    sets = desk.address("sets")
    page = parsed(desk.first.post(sets, {**opened(desk, "sets"), "do": "add set"}))
    page = parsed(
        desk.first.post(
            sets,
            {
                **filled(page, sets, **{"set-0-id": "below", "set-0-name": "below Class I", "set-0-below": "I"}),
                "do": "add set",
            },
        )
    )
    typed: Fields = {"set-1-id": "rotten", "set-1-name": "with rot", "set-1-has": ["rot"]}
    assert desk.first.post(sets, filled(page, sets, **typed)).status_code == 303
    address = desk.address("tolerances")
    page = parsed(desk.first.post(address, {**opened(desk, "tolerances"), "do": "add tolerance"}))
    typed = {
        "tolerance-0-id": "class-i",
        "tolerance-0-name": "quality",
        "tolerance-0-class": ["I"],
        "tolerance-0-basis": ["number", "weight"],
        "tolerance-0-scope": "lot",
        "tolerance-0-of": ["below"],
        "tolerance-0-to": "<= 10 %",
    }
    page = parsed(desk.first.post(address, {**filled(page, address, **typed), "do": "add tolerance-0-within"}))
    inner: Fields = {"tolerance-0-within-0-of": ["rotten"], "tolerance-0-within-0-to": "<= 1 %"}
    answer = desk.first.post(address, filled(page, address, **inner))
    assert answer.status_code == 303, words(parsed(answer))
    text = plain(words(parsed(desk.first.get(f"/drafts/{desk.draft_id}"))))
    assert "At most 10 % of a lot, by number or weight, may be below Class I." in text
    assert "Among these: At most 1 % of the whole lot may have rot." in text


def test_two_people_editing_one_part_see_both_sides(desk: Desk) -> None:
    address = desk.address("sizes")
    forms = [filled(parsed(who.get(address)), address) for who in (desk.first, desk.second)]
    assert desk.first.post(address, {**forms[0], "bands-0-to": ">= 210 g and <= 350 g"}).status_code == 303
    answer = desk.second.post(address, {**forms[1], "bands-0-to": ">= 220 g and <= 350 g"})
    page = parsed(answer)
    assert answer.status_code == 409
    assert "Ada Thorne saved this at " in words(page, ".notice")
    row = [" ".join(cell.get_text(" ").split()) for cell in page.select("table tbody tr > *")]
    assert row == ["Size 1, From and to", "from 210 g to 350 g", "from 220 g to 350 g"]
    assert typed_in(page, "bands-0-to") == "from 220 g to 350 g"
    assert desk.spec.scale.bands[0].to.text() == ">= 210 g and <= 350 g"
    assert desk.second.post(address, filled(page, address)).status_code == 303
    assert desk.spec.scale.bands[0].to.text() == ">= 220 g and <= 350 g"


def both_open(desk: Desk, part: str) -> list[Fields]:
    return [filled(parsed(who.get(desk.address(part))), desk.address(part)) for who in (desk.first, desk.second)]


def test_two_people_editing_different_parts_or_rows_both_save(desk: Desk) -> None:
    sizes, title = both_open(desk, "sizes"), both_open(desk, "title")
    limit = both_open(desk, "new-limit")
    first, second = desk.address("sizes"), desk.address("title")
    assert desk.first.post(first, {**sizes[0], "bands-0-to": ">= 210 g and <= 350 g"}).status_code == 303
    assert desk.second.post(second, {**title[1], "notes": "Ours."}).status_code == 303
    assert desk.second.post(first, {**sizes[1], "bands-2-to": ">= 551 g and <= 810 g"}).status_code == 303
    typed: Fields = {"of": ["rot"], "take": "present", "rows-0-was": "", "rows-0-to": "nil"}
    for who, form, name in zip((desk.first, desk.second), limit, ("one", "two"), strict=True):
        added = {**form, **typed, "id": name, "name": name}
        assert who.post(desk.address("new-limit"), added).status_code == 303
    spec = desk.spec
    assert spec.scale.bands[0].to.text() == ">= 210 g and <= 350 g"
    assert spec.scale.bands[2].to.text() == ">= 551 g and <= 810 g"
    assert spec.notes == ("Ours.",)
    assert [each.id for each in spec.limits[-2:]] == ["one", "two"]
    told = plain(words(parsed(desk.first.get(f"/drafts/{desk.draft_id}/history"))))
    assert "limit two: name two" in told


def _entry_at(fold: Tag) -> str:
    entry = fold.find_parent("fieldset")
    return "" if entry is None else str(entry["id"])


def test_of_two_who_changed_one_row_only_that_row_is_asked_about(desk: Desk) -> None:
    address = desk.address("sizes")
    forms = both_open(desk, "sizes")
    theirs = {"bands-0-to": ">= 210 g and <= 350 g", "bands-1-to": ">= 351 g and <= 540 g"}
    ours = {"bands-0-to": ">= 220 g and <= 350 g", "bands-2-to": ">= 551 g and <= 810 g"}
    assert desk.first.post(address, {**forms[0], **theirs}).status_code == 303
    answer = desk.second.post(address, {**forms[1], **ours})
    page = parsed(answer)
    assert answer.status_code == 409
    rows = [[" ".join(cell.get_text(" ").split()) for cell in row.select("th, td")] for row in page.select("tbody tr")]
    assert rows == [["Size 1, From and to", "from 210 g to 350 g", "from 220 g to 350 g"]]
    told = words(page, ".notice")
    assert "saved this" in told
    assert "3 sizes" not in told
    assert [str(each["id"]) for each in page.select(".stored-beside")] == ["f-bands-0-to-stored"]
    assert words(page, "#f-bands-0-to-stored") == "Stored now: from 210 g to 350 g"
    assert [_entry_at(each) for each in page.select("details.entry-fold[open]")] == ["f-bands-0"]
    shown = [typed_in(page, f"bands-{number}-to") for number in range(3)]
    assert shown == ["from 220 g to 350 g", "from 351 g to 540 g", "from 551 g to 810 g"]
    bands = [">= 220 g and <= 350 g", ">= 351 g and <= 540 g", ">= 551 g and <= 810 g"]
    assert [band.to.text() for band in desk.spec.scale.bands][2] != bands[2]
    assert desk.second.post(address, filled(page, address)).status_code == 303
    assert [band.to.text() for band in desk.spec.scale.bands] == bands


def test_a_limit_taken_out_meanwhile_is_offered_as_a_new_one(desk: Desk) -> None:
    new = desk.address("new-limit")
    typed: Fields = {"id": "own", "name": "own", "of": ["rot"], "take": "present"}
    row = {"rows-0-was": "", "rows-0-to": "nil"}
    assert (
        desk.first.post(
            new,
            {
                **opened(
                    desk,
                    "new-limit",
                ),
                **typed,
                **row,
            },
        ).status_code
        == 303
    )
    address = desk.address("limit-own")
    form = filled(parsed(desk.second.get(address)), address)
    order = desk.address("limits")
    last = len(desk.spec.limits) - 1
    page = parsed(desk.first.post(order, {**opened(desk, "limits"), "do": f"remove limit-{last}"}))
    assert desk.first.post(order, filled(page, order)).status_code == 303
    answer = desk.second.post(address, {**form, "rows-0-to": "<= 1"})
    page = parsed(answer)
    assert (answer.status_code, words(page, "h1")) == (409, "A new limit")
    assert (typed_in(page, "id"), typed_in(page, "rows-0-to")) == ("own", "at most 1")
    assert "own" not in {each.id for each in desk.spec.limits}
    assert desk.second.post(new, filled(page, new)).status_code == 303
    assert desk.spec.limits[-1].rows[0].to.text() == "<= 1"


def test_the_order_of_limits_clashing_keeps_what_limits_say(desk: Desk) -> None:
    address = desk.address("limits")
    before = {each.id: each for each in desk.spec.limits}
    forms = both_open(desk, "limits")
    pages = [
        parsed(who.post(address, {**form, "do": deed}))
        for who, form, deed in zip((desk.first, desk.second), forms, ("up limit-1", "up limit-2"), strict=True)
    ]
    assert desk.first.post(address, filled(pages[0], address)).status_code == 303
    answer = desk.second.post(address, filled(pages[1], address))
    assert answer.status_code == 409
    assert desk.second.post(address, filled(parsed(answer), address)).status_code == 303
    assert {each.id: each for each in desk.spec.limits} == before
    ids = list(before)
    assert [each.id for each in desk.spec.limits] == [ids[0], ids[2], ids[1], *ids[3:]]


def test_changes_that_do_not_go_together_are_said_and_nothing_is_stored(desk: Desk) -> None:
    sizes, limit = desk.address("sizes"), desk.address("new-limit")
    added = parsed(desk.first.post(sizes, {**opened(desk, "sizes"), "do": "add bands"}))
    assert (
        desk.first.post(sizes, filled(added, sizes, **{"bands-3-name": "D", "bands-3-to": "> 810 g"})).status_code
        == 303
    )
    form = filled(parsed(desk.second.get(limit)), limit)
    page = parsed(desk.first.post(sizes, {**opened(desk, "sizes"), "do": "remove bands-3"}))
    assert desk.first.post(sizes, filled(page, sizes)).status_code == 303
    typed: Fields = {"id": "own", "name": "own", "of": ["rot"], "take": "present"}
    row = {"rows-0-was": "", "rows-0-size": "D", "rows-0-to": "nil"}
    stood = desk.version
    answer = desk.second.post(limit, {**form, **typed, **row})
    page = parsed(answer)
    assert answer.status_code == 409
    assert "Ada Thorne saved this at " in words(page)
    assert error_at(page, "rows-0-size") == "“D” cannot stand here; accepted: one of “A”, “B”, “C”."
    assert typed_in(page, "rows-0-size") == "D"
    assert desk.version == stood
    assert desk.second.post(limit, filled(page, limit, **{"rows-0-size": "C"})).status_code == 303
    assert desk.spec.limit("own").rows[0].sizes == ("C",)


def test_what_was_saved_meanwhile_and_leans_on_what_goes_is_named_with_the_way_to_it(desk: Desk) -> None:
    sizes, limit = desk.address("sizes"), desk.address("new-limit")
    added = parsed(desk.first.post(sizes, {**opened(desk, "sizes"), "do": "add bands"}))
    desk.first.post(sizes, filled(added, sizes, **{"bands-3-name": "D", "bands-3-to": "> 810 g"}))
    page = parsed(desk.second.post(sizes, {**opened(desk, "sizes"), "do": "remove bands-3"}))
    typed: Fields = {"id": "own", "name": "own", "of": ["rot"], "take": "present"}
    row = {"rows-0-was": "", "rows-0-size": "D", "rows-0-to": "nil"}
    assert desk.first.post(limit, {**opened(desk, "new-limit"), **typed, **row}).status_code == 303
    stood = desk.version
    answer = desk.second.post(sizes, filled(page, sizes))
    page = parsed(answer)
    assert (answer.status_code, desk.version) == (409, stood)
    assert "Ada Thorne saved this at " in words(page, ".notice")
    (way,) = page.select(".plain-list a")
    assert way.get_text() == "Limit: own, Row 1, Size"
    assert way["href"] == f"{desk.address('limit-own')}?at=rows-0-size#f-rows-0-size"


@pytest.mark.parametrize("between", [{"bands-0-to": "what"}, {"do": "add bands"}])
def test_neither_a_mistake_nor_a_button_makes_a_stale_form_fresh(desk: Desk, between: dict[str, str]) -> None:
    address = desk.address("sizes")
    forms = [filled(parsed(who.get(address)), address) for who in (desk.first, desk.second)]
    desk.first.post(address, {**forms[0], "bands-0-to": ">= 210 g and <= 350 g"})
    page = parsed(desk.second.post(address, {**forms[1], **between}))
    answer = desk.second.post(address, filled(page, address, **{"bands-0-to": ">= 220 g and <= 350 g"}))
    assert answer.status_code == 409


def test_the_way_to_every_part_stands_on_the_draft(desk: Desk) -> None:
    page = parsed(desk.first.get(f"/drafts/{desk.draft_id}"))
    ways = {str(link["href"]) for link in page.select(".parts a")}
    assert ways == {desk.address(part) for part, _, _ in parts_of(desk.spec)}
    assert {desk.first.get(way).status_code for way in ways} == {200}


@pytest.mark.parametrize("part", ["nothing", "limit-nothing", "limit-", "7"])
def test_a_part_there_is_not(desk: Desk, part: str) -> None:
    assert desk.first.get(desk.address(part)).status_code == 404
    assert desk.first.post(desk.address(part)).status_code == 404


def test_a_published_draft_has_no_forms(desk: Desk) -> None:
    form = opened(desk, "title", title="Another")
    desk.first.post(f"/drafts/{desk.draft_id}/publishing", {"version": "1"})
    assert desk.first.get(desk.address("title")).status_code == 404
    answer = desk.first.post(desk.address("title"), form)
    assert (answer.status_code, "never changes" in words(parsed(answer))) == (422, True)


def test_only_managers_edit(desk: Desk) -> None:
    grader = visitor(desk.database, Role.GRADER)
    assert grader.get(desk.address("title")).status_code == 403
    assert not parsed(grader.get(f"/drafts/{desk.draft_id}")).select(".parts")


def test_enter_saves_and_presses_no_other_button(desk: Desk) -> None:
    page = parsed(desk.first.get(desk.address("sizes")))
    first = one(page, "form.part").select("button")[0]
    assert (first.get_text(), first.get("name")) == ("Save", None)
