"""What differs between two specs is said field by field, and nothing that differs is left out."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.beginning import own_copy
from shedgrade.domain.spec.comparing import Change, compare
from shedgrade.domain.spec.library import standards
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.own import as_own
from shedgrade.domain.spec.text import SpecMistakes, read_spec, read_tree, tree_of
from tests.support.made_up_specs import specs
from tests.support.whole_spec import EVERYTHING, QUELL, QUELL_SPEC

THIN = "\N{NARROW NO-BREAK SPACE}"
CROPS = {QUELL.id: QUELL}


def changed(old: str, new: str) -> tuple[Change, ...]:
    assert old in QUELL_SPEC
    return compare(EVERYTHING, read_spec(QUELL_SPEC.replace(old, new, 1), CROPS))


@pytest.mark.parametrize(
    ("old", "new", "place", "before", "after"),
    [
        ('title = "Quell, everything at once"', 'title = "Quell"', "title", "Quell, everything at once", "Quell"),
        ('"Not for trade."', '"For trade."', "notes", "Invented., Not for trade.", "Invented., For trade."),
        ('section = "2"', 'section = "2.1"', "source, section", "2", "2.1"),
        ('name = "Class II"', 'name = "Second"', "class Second, name", "Class II", "Second"),
        (
            *('variety = "Long Quell", to = ">= 35 mm', 'variety = "Long Quell", to = "> 35 mm'),
            *("sizes, A, of Long Quell", f"from 35{THIN}mm to 55{THIN}mm", f"over 35{THIN}mm and at most 55{THIN}mm"),
        ),
        ('"< 1 cm2"', '"<= 1 cm2"', "severity scarring, slight", f"under 1{THIN}cm²", f"at most 1{THIN}cm²"),
        (
            *('presentation = "layers", to = ">= 90 g"', 'presentation = "layers", to = ">= 95 g"'),
            *("limit weight, Class I, presented layers", f"at least 90{THIN}g", f"at least 95{THIN}g"),
        ),
        (">= 1/3", ">= 33 1/3 %", "limit good colour, Class I", "at least 1/3", f"at least 33 1/3{THIN}%"),
        ('to = "nil"', 'to = "<= 0 cm2"', "limit progressive marks", '"nil"', '"<= 0 cm2"'),
        ('size = "63.5 mm"', 'size = "70 mm"', "limit skin, as on a fruit with", None, None),
        ('take = "places"\nto = "< 6"', 'take = "present"\nto = "< 6"', "limit spots, taken as", "places", "present"),
        (
            *('{ of = "dry-matter", take = "value", to = ">= 15 %" },', ""),
            *("limit maturity, or of dry matter, taken as value", f"at least 15{THIN}%", ""),
        ),
        (
            'to = "<= 2 %"',
            'to = "<= 1 %"',
            "tolerance quality, Class I, of which of worse than Class II",
            f"at most 2{THIN}%",
            None,
        ),
        ('basis = "number"', 'basis = "weight"', "tolerance size, counted by", "number", "weight"),
        ('as_class = "II"', 'as_class = "I"', "set worse than Class II, as written for", "Class II", "Class I"),
        (
            'packed = false\ntakes = ["rot"]',
            'packed = true\ntakes = ["rot"]',
            "outlet Waste, counts as packed",
            "no",
            "yes",
        ),
    ],
)
def test_one_thing_changed_is_one_difference(
    old: str, new: str, place: str, before: str | None, after: str | None
) -> None:
    (only,) = changed(old, new)
    assert only.place == place
    assert before is None or only.before == before
    assert after is None or only.after == after


def test_the_source_of_a_figure_is_said_with_the_figure_and_the_id_of_a_spec_only_alone() -> None:
    spec = standards()["mango-codex-cxs184"]
    own = own_copy(spec, "Own", "", frozenset())
    assert "id" not in {each.place for each in compare(spec, own)}
    assert [each.place for each in compare(spec, replace(spec, id="other"))] == ["id"]
    band = replace(own.scale.bands[0], to=Bound.parse(">= 210 g"))
    other = as_own(own, replace(own, scale=replace(own.scale, bands=(band, *own.scale.bands[1:]))))
    assert other.scale.bands[0].source.mark is Mark.OUR_OWN
    (only,) = compare(own, other)
    assert (only.place, only.after) == ("sizes, A", f"at least 210{THIN}g (now our own)")


def test_a_limit_more_is_one_difference_and_a_new_order_is_said() -> None:
    mark = '[[limit]]\nid = "stage"'
    new = '[[limit]]\nid = "extra"\nname = "extra"\nof = "weight"\ntake = "value"\nto = ">= 1 g"\n\n'
    (only,) = changed(mark, new + mark)
    assert (only.place, only.before) == ("limit extra", "")
    assert only.after == f"name extra; of weight; taken as value; at least 1{THIN}g"
    rows = '  { class = "I", to = "<= 1" },\n  { class = "II", to = "<= 2" },\n'
    first, second = rows.splitlines(keepends=True)
    (order,) = changed(rows, second + first)
    assert order.place == "limit scarring, order of rows"
    assert (order.before, order.after) == (
        "limit scarring, Class I, limit scarring, Class II",
        "limit scarring, Class II, limit scarring, Class I",
    )


def test_a_new_limit_says_for_which_class_it_allows_what() -> None:
    mark = '[[limit]]\nid = "stage"'
    new = '[[limit]]\nid = "extra"\nname = "extra"\nof = "weight"\ntake = "value"\n'
    new += 'rows = [{ class = "I", to = ">= 2 g" }, { class = "II", to = ">= 1 g" }]\n\n'
    (only,) = changed(mark, new + mark)
    assert only.after.endswith(f"; Class I: at least 2{THIN}g; Class II: at least 1{THIN}g")


@pytest.mark.parametrize("spec", [*standards().values(), EVERYTHING], ids=lambda spec: spec.id)
def test_a_spec_does_not_differ_from_itself(spec: Spec) -> None:
    assert compare(spec, spec) == ()


@given(st.data())
@settings(deadline=None)
def test_no_change_of_a_single_value_is_missed(data: st.DataObject) -> None:
    tree = tree_of(EVERYTHING)
    node: object = tree
    while True:
        keys = list(node) if isinstance(node, dict) else list(range(len(node))) if isinstance(node, list) else []
        key = data.draw(st.sampled_from(keys))
        inner = node[key]  # type: ignore[index]
        if not isinstance(inner, dict | list) or data.draw(st.integers(0, 4)) == 0:
            break
        node = inner
    if data.draw(st.booleans()):
        del node[key]  # type: ignore[attr-defined]
    else:
        others = ["any", "nil", "I", "II", "A", "<= 1 %", "read", "sum", "value", "weight", "next", "other", 3, True]
        node[key] = data.draw(st.sampled_from(others))  # type: ignore[index]
    try:
        other = read_tree(tree, CROPS)
    except SpecMistakes:
        return
    assert bool(compare(EVERYTHING, other)) is (other != EVERYTHING)
    assert bool(compare(other, EVERYTHING)) is (other != EVERYTHING)


@given(specs(), specs())
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_two_specs_differ_unless_they_are_equal(one: Spec, other: Spec) -> None:
    changes = compare(one, other)
    assert bool(changes) is (one != other)
    assert all(change.before != change.after for change in changes)
