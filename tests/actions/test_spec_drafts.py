"""Drafts, retirements and confirmations of specs, on both databases."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any, cast

import pytest
from sqlmodel import Session

from shedgrade.actions import spec_confirmations as confirmations
from shedgrade.actions import spec_drafts as drafts
from shedgrade.actions.spec_drafts import DraftError, Writer
from shedgrade.actions.specs import publish, put_back, retire
from shedgrade.domain.bound import Bound
from shedgrade.domain.crop import Crop
from shedgrade.domain.source import Mark
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_spec, read_tree, tree_of, write_spec
from shedgrade.domain.spec.values import values_of
from shedgrade.storage import spec_drafts, specs
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as, changes_of
from shedgrade.storage.spec_confirmations import confirmed_of
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import SpecDraft, SpecVersion
from tests.support import season
from tests.support.specs import MARKET

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)
CODEX = library.standards()["mango-codex-cxs184"]
OWN = read_spec(MARKET, library.crops())


@pytest.fixture
def session(database: Database) -> Iterator[Session]:
    with database.writing() as opened:
        act_as(opened, Actor(season.shed_person(opened, "Ada Thorne"), "", NOW))
        yield opened


def by(session: Session) -> Writer:
    return Writer(season.shed_person(session, "Ada Thorne"), NOW)


def found(session: Session, draft: SpecDraft) -> spec_drafts.DraftWhole:
    return spec_drafts.draft(session, draft.id or 0)


def with_band(spec: Spec, name: str, to: str) -> Spec:
    bands = tuple(replace(band, to=Bound.parse(to)) if band.name == name else band for band in spec.scale.bands)
    return replace(spec, scale=replace(spec.scale, bands=bands))


@pytest.mark.parametrize("crop", library.crops().values(), ids=lambda crop: crop.id)
def test_a_draft_from_nothing_is_a_spec_that_can_be_written_and_read(session: Session, crop: Crop) -> None:
    draft = drafts.begin(session, crop, "Our own, 2026", by(session))
    spec = found(session, draft).spec
    assert (spec.id, spec.title, spec.crop.id) == ("our-own-2026", "Our own, 2026", crop.id)
    assert read_spec(write_spec(spec), library.crops()) == spec


def test_two_drafts_of_one_title_get_ids_of_their_own(session: Session) -> None:
    crop = library.crops()["mango"]
    keys = [drafts.begin(session, crop, title, by(session)).spec_key for title in ("Própria", "Propria", "!?")]
    assert keys == ["propria", "propria-2", "spec"]


def test_a_changed_draft_counts_its_changes_and_tells_them(session: Session) -> None:
    draft = drafts.copy(session, publish(session, CODEX, NOW), "Own", by(session))
    drafts.change_draft(session, found(session, draft), with_band(found(session, draft).spec, "A", ">= 210 g"), 1)
    assert (draft.version, draft.title) == (2, "Own")
    session.flush()
    told = changes_of(session, [("spec draft", draft.id or 0)])[0]
    ((place, before, after),) = told.after["changed"]
    assert place == "sizes, A"
    assert [each.replace("\u202f", " ") for each in (before, after)] == [
        "from 200 g to 350 g",
        "at least 210 g (now our own)",
    ]


def test_a_change_that_changes_nothing_is_none(session: Session) -> None:
    draft = drafts.copy(session, publish(session, OWN, NOW), "", by(session))
    drafts.change_draft(session, found(session, draft), OWN, 1)
    assert (draft.version, len(found(session, draft).texts)) == (1, 1)


def test_what_somebody_saved_meanwhile_is_not_overwritten(session: Session) -> None:
    draft = drafts.copy(session, publish(session, CODEX, NOW), "Own", by(session))
    spec = found(session, draft).spec
    drafts.change_draft(session, found(session, draft), with_band(spec, "A", ">= 210 g"), 1)
    for deed in (
        lambda: drafts.change_draft(session, found(session, draft), with_band(spec, "A", ">= 220 g"), 1),
        lambda: drafts.undo(session, found(session, draft), 1),
        lambda: drafts.publish_draft(session, found(session, draft), 1, NOW),
        lambda: drafts.put_aside(session, found(session, draft), 1, NOW),
    ):
        with pytest.raises(StaleError):
            deed()
    assert ">= 210 g" in found(session, draft).content


def test_changes_of_different_parts_and_rows_go_together(session: Session) -> None:
    draft = drafts.copy(session, publish(session, CODEX, NOW), "Own", by(session))
    spec = found(session, draft).spec
    drafts.change_draft(session, found(session, draft), with_band(spec, "A", ">= 210 g and <= 350 g"), 1)
    drafts.change_draft(session, found(session, draft), with_band(spec, "C", ">= 551 g and <= 810 g"), 1)
    drafts.change_draft(session, found(session, draft), replace(spec, notes=("Ours.",)), 1)
    now = found(session, draft)
    assert [band.to.text() for band in now.spec.scale.bands] == [
        ">= 210 g and <= 350 g",
        ">= 351 g and <= 550 g",
        ">= 551 g and <= 810 g",
    ]
    assert (now.spec.notes, now.row.version) == (("Ours.",), 4)
    told = [place for place, _, _ in changes_of(session, [("spec draft", now.id)])[0].after["changed"]]
    assert told == ["notes"]


def test_a_clash_holds_both_sides_and_stores_nothing(session: Session) -> None:
    draft = drafts.copy(session, publish(session, CODEX, NOW), "Own", by(session))
    spec = found(session, draft).spec
    drafts.change_draft(session, found(session, draft), with_band(spec, "A", ">= 210 g and <= 350 g"), 1)
    both = with_band(with_band(spec, "A", ">= 220 g and <= 350 g"), "C", ">= 551 g and <= 810 g")
    with pytest.raises(drafts.ClashError) as clash:
        drafts.change_draft(session, found(session, draft), both, 1)
    bands = [
        [band["to"] for band in cast("Any", side)["scale"]["bands"]]
        for side in (clash.value.merged.ours, clash.value.merged.theirs)
    ]
    middle, last = ">= 351 g and <= 550 g", ">= 551 g and <= 810 g"
    assert bands == [[">= 220 g and <= 350 g", middle, last], [">= 210 g and <= 350 g", middle, last]]
    assert found(session, draft).row.version == 2
    with pytest.raises(StaleError):
        drafts.change_draft(session, found(session, draft), both, 9)


def test_every_change_is_undone_step_by_step_and_had_again(session: Session) -> None:
    draft = drafts.copy(session, publish(session, CODEX, NOW), "Own", by(session))
    grams = (200, 210, 220, 230)
    for version, low in enumerate(grams[1:], start=1):
        spec = with_band(found(session, draft).spec, "A", f">= {low} g and <= 350 g")
        drafts.change_draft(session, found(session, draft), spec, version)

    def stands() -> str:
        return found(session, draft).spec.scale.bands[0].to.text()

    for low in grams[-2::-1]:
        drafts.undo(session, found(session, draft), found(session, draft).row.version)
        assert stands() == f">= {low} g and <= 350 g"
    with pytest.raises(DraftError, match="Nothing is left to undo"):
        drafts.undo(session, found(session, draft), 7)
    for low in grams[1:]:
        drafts.redo(session, found(session, draft), found(session, draft).row.version)
        assert stands() == f">= {low} g and <= 350 g"
    with pytest.raises(DraftError, match="had again"):
        drafts.redo(session, found(session, draft), 10)
    drafts.undo(session, found(session, draft), 10)
    drafts.change_draft(session, found(session, draft), replace(found(session, draft).spec, notes=("Ours.",)), 11)
    with pytest.raises(DraftError, match="had again"):
        drafts.redo(session, found(session, draft), 12)
    drafts.undo(session, found(session, draft), 12)
    assert (stands(), found(session, draft).spec.notes) == (">= 220 g and <= 350 g", CODEX.notes)
    drafts.undo(session, found(session, draft), 13)
    assert stands() == ">= 210 g and <= 350 g"
    assert [told.after.get("how") for told in changes_of(session, [("spec draft", draft.id or 0)])[:3]] == [
        "undone",
        "undone",
        "changed",
    ]


def test_an_ended_draft_does_not_change(session: Session) -> None:
    draft = drafts.copy(session, publish(session, CODEX, NOW), "Own", by(session))
    drafts.publish_draft(session, found(session, draft), 1, NOW)
    with pytest.raises(DraftError, match="never changes"):
        drafts.change_draft(session, found(session, draft), with_band(CODEX, "A", ">= 210 g"), 2)
    with pytest.raises(DraftError, match="never changes"):
        drafts.undo(session, found(session, draft), 2)


def test_no_next_version_of_a_standard_that_comes_with_the_program(session: Session) -> None:
    with pytest.raises(DraftError, match="title of its own"):
        drafts.copy(session, publish(session, CODEX, NOW), "", by(session))


def test_a_retired_version_is_not_offered_until_it_is_put_back(session: Session) -> None:
    first, second = publish(session, OWN, NOW), publish(session, replace(OWN, edition="4"), NOW)
    retire(session, second, "withdrawn by the buyer", by(session).person_id, NOW)
    with pytest.raises(StaleError):
        retire(session, second, "again", by(session).person_id, NOW)
    assert specs.offered(session) == [first]
    assert specs.offered(session, also=second.id) == [second, first]
    assert specs.newest(session) == [first]
    put_back(session, second, by(session).person_id, NOW)
    with pytest.raises(StaleError):
        put_back(session, second, by(session).person_id, NOW)
    assert specs.newest(session) == [second]
    retire(session, second, "withdrawn after all", by(session).person_id, NOW + timedelta(days=1))
    assert specs.offered(session) == [first]


def reading(session: Session) -> confirmations.Reading:
    return confirmations.Reading(by(session).person_id, date(2026, 1, 10), "the printed text, section 3", NOW)


def own_from_memory(session: Session) -> SpecVersion:
    """A spec of the shed's own that keeps the figures Codex has from memory."""
    return publish(session, replace(CODEX, id="own", title="Own"), NOW)


def test_a_value_from_memory_is_confirmed_once(session: Session) -> None:
    version = own_from_memory(session)
    open_before = confirmations.open_values(session, version)
    assert {value.source.mark for value in open_before} == {Mark.FROM_MEMORY}
    confirmations.confirm(session, version, [open_before[0].place], reading(session))
    assert confirmations.open_values(session, version) == open_before[1:]
    for places in ([open_before[0].place], ["size Z"]):
        with pytest.raises(StaleError):
            confirmations.confirm(session, version, places, reading(session))


def test_a_confirmation_taken_back_leaves_the_value_open(session: Session) -> None:
    version = own_from_memory(session)
    place = confirmations.open_values(session, version)[0].place
    confirmations.confirm(session, version, [place], reading(session))
    row = confirmed_of(session, version.id or 0)[place].row
    confirmations.withdraw(session, row, "it was another edition", by(session).person_id, NOW)
    with pytest.raises(StaleError):
        confirmations.withdraw(session, row, "again", by(session).person_id, NOW)
    assert confirmations.open_values(session, version)[0].place == place
    confirmations.confirm(session, version, [place], reading(session))


def test_the_next_version_keeps_what_is_confirmed_where_the_value_is_unchanged(session: Session) -> None:
    version = own_from_memory(session)
    confirmations.confirm(session, version, ["size A", "size B"], reading(session))
    first = drafts.copy(session, version, "", by(session))
    drafts.change_draft(
        session, found(session, first), with_band(specs.spec_in(version), "B", ">= 351 g and <= 500 g"), 1
    )
    second = drafts.publish_draft(session, found(session, first), 2, NOW)
    carried = confirmed_of(session, second.id or 0)
    assert set(carried) == {"size A"}
    row = carried["size A"].row
    assert (row.read_on, row.read_in, row.carried_from_id) == (
        date(2026, 1, 10),
        "the printed text, section 3",
        version.id,
    )
    assert "size B" not in {value.place for value in confirmations.open_values(session, second)}
    assert specs.spec_in(second).scale.bands[1].source.mark is Mark.OUR_OWN
    assert set(confirmed_of(session, version.id or 0)) == {"size A", "size B"}


def test_a_mark_changed_in_the_next_version_needs_no_confirmation(session: Session) -> None:
    version = own_from_memory(session)
    confirmations.confirm(session, version, ["size A"], reading(session))
    tree = tree_of(specs.spec_in(version))
    tree["scale"] = {**cast("dict[str, object]", tree["scale"]), "mark": "read"}
    draft = drafts.copy(session, version, "", by(session))
    drafts.change_draft(session, found(session, draft), read_tree(tree, library.crops()), 1)
    published = drafts.publish_draft(session, found(session, draft), 2, NOW)
    assert confirmed_of(session, published.id or 0) == {}


@pytest.mark.parametrize("spec", library.standards().values(), ids=lambda spec: spec.id)
def test_every_value_of_a_spec_has_a_place_of_its_own(spec: Spec) -> None:
    values = values_of(spec)
    rows = sum(len(way.rows) for limit in spec.limits for way in limit.ways)
    assert len({value.place for value in values}) == len(values) >= rows + len(spec.scale.bands)


def test_a_changed_figure_is_the_sheds_own_unless_its_source_is_given(session: Session) -> None:
    draft = drafts.copy(session, own_from_memory(session), "The shed's pack", by(session))
    tree: dict[str, Any] = tree_of(found(session, draft).spec)
    tree["scale"]["bands"][0]["to"] = ">= 210 g and <= 350 g"
    drafts.change_draft(session, found(session, draft), read_tree(tree, library.crops()), 1)
    first, *others = found(session, draft).spec.scale.bands
    assert (first.source.standard, first.source.mark) == ("The shed's pack", Mark.OUR_OWN)
    assert all(band.source.mark is not Mark.OUR_OWN for band in others)
    tree |= tree_of(found(session, draft).spec)
    tree["scale"]["bands"][0] |= {"to": ">= 220 g and <= 350 g", "standard": "Shops' rules", "mark": "read"}
    drafts.change_draft(session, found(session, draft), read_tree(tree, library.crops()), 2)
    first = found(session, draft).spec.scale.bands[0]
    assert (first.source.standard, first.source.mark) == ("Shops' rules", Mark.READ)


def test_a_changed_figure_keeps_the_note_that_says_what_counts(session: Session) -> None:
    draft = drafts.copy(session, publish(session, CODEX, NOW), "The shed's pack", by(session))
    tree: dict[str, Any] = tree_of(found(session, draft).spec)
    marks = next(each for each in tree["limit"] if each["id"] == "skin-marks")
    noted = next(row for row in marks["rows"] if row.get("note"))
    note, table_note = noted["note"], marks["note"]
    for row in marks["rows"]:
        row["to"] = "<= 0.2 cm2"
    drafts.change_draft(session, found(session, draft), read_tree(tree, library.crops()), 1)
    limit = found(session, draft).spec.limit("skin-marks")
    changed = next(row for row in limit.rows if row.source.note)
    assert (changed.source.note, changed.source.mark, changed.source.section) == (note, Mark.OUR_OWN, "")
    assert limit.source.note == table_note
    tree |= tree_of(found(session, draft).spec)
    marks = next(each for each in tree["limit"] if each["id"] == "skin-marks")
    next(row for row in marks["rows"] if row.get("note")).update(note="", to="<= 0.3 cm2")
    drafts.change_draft(session, found(session, draft), read_tree(tree, library.crops()), 2)
    assert not any(row.source.note for row in found(session, draft).spec.limit("skin-marks").rows)


def test_the_only_figure_of_a_limit_keeps_its_note_beside_that_of_the_limit(session: Session) -> None:
    tree: dict[str, Any] = tree_of(OWN)
    single = next(each for each in tree["limit"] if "rows" not in each or len(each["rows"]) == 1)
    rows = single.pop("rows", [{"to": single.pop("to", "")}])
    single |= {"note": "of the limit", "rows": [{**rows[0], "note": "of the row", "section": "9"}]}
    draft = drafts.copy(session, publish(session, read_tree(tree, library.crops()), NOW), "", by(session))
    tree |= tree_of(found(session, draft).spec)
    of_limit = next(each for each in tree["limit"] if each["id"] == single["id"])
    of_limit["rows"][0]["to"] = "any"
    drafts.change_draft(session, found(session, draft), read_tree(tree, library.crops()), 1)
    limit = found(session, draft).spec.limit(single["id"])
    assert limit.source.note == "of the limit"
    assert (limit.rows[0].source.note, limit.rows[0].source.mark) == ("of the row", Mark.OUR_OWN)


def test_a_copy_has_an_edition_of_its_own_and_its_own_figures_are_of_that(session: Session) -> None:
    version = publish(session, CODEX, NOW)
    for edition, kept in (("", "1"), ("2026", "2026")):
        draft = drafts.copy(session, version, f"The shed's pack {edition}", by(session), edition)
        changed = with_band(found(session, draft).spec, "A", ">= 210 g and <= 350 g")
        drafts.change_draft(session, found(session, draft), changed, 1)
        spec = found(session, draft).spec
        first, second, *_ = spec.scale.bands
        assert spec.edition == first.source.edition == kept
        assert second.source.edition == spec.source.edition == CODEX.source.edition


def test_two_specs_of_one_title_cannot_both_be_published(session: Session) -> None:
    version = own_from_memory(session)
    one, other = (drafts.copy(session, version, "The shed's pack", by(session)) for _ in range(2))
    drafts.publish_draft(session, found(session, one), 1, NOW)
    with pytest.raises(DraftError, match="Another spec is called The shed's pack already"):
        drafts.publish_draft(session, found(session, other), 1, NOW)
