"""Two changes of one spec put together lose nothing of either."""

from copy import deepcopy
from typing import Any

from hypothesis import HealthCheck, given, settings

from shedgrade.domain.spec.merging import merge
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import tree_of
from tests.support.made_up_specs import specs
from tests.support.whole_spec import EVERYTHING

BASE: Any = tree_of(EVERYTHING)


def both(ours: Any, theirs: Any) -> Any:
    merged = merge(BASE, ours, theirs)
    assert not merged.clash
    return merged.ours


def limit(tree: Any, key: str) -> Any:
    return next(each for each in tree["limit"] if each["id"] == key)


def test_rows_of_one_limit_changed_by_two_people_are_both_changed() -> None:
    ours, theirs = deepcopy(BASE), deepcopy(BASE)
    limit(ours, "skin")["rows"][0]["to"] = "<= 1 cm2"
    limit(theirs, "skin")["rows"][1]["to"] = "<= 2 cm2"
    rows = limit(both(ours, theirs), "skin")["rows"]
    assert [row["to"] for row in rows][:2] == ["<= 1 cm2", "<= 2 cm2"]
    assert rows[2:] == limit(BASE, "skin")["rows"][2:]


def test_one_row_changed_in_two_ways_clashes_and_the_rest_does_not() -> None:
    ours, theirs = deepcopy(BASE), deepcopy(BASE)
    for tree, figure in ((ours, "<= 1 cm2"), (theirs, "<= 2 cm2")):
        limit(tree, "skin")["rows"][0]["to"] = figure
    theirs["title"] = "Theirs"
    merged = merge(BASE, ours, theirs)
    assert merged.clash
    assert (merged.ours, merged.theirs) == ({**ours, "title": "Theirs"}, theirs)


def test_what_one_took_out_and_the_other_changed_clashes() -> None:
    ours, theirs = deepcopy(BASE), deepcopy(BASE)
    del ours["limit"][0]
    theirs["limit"][0]["name"] = "theirs"
    merged = merge(BASE, ours, theirs)
    assert (merged.ours, merged.theirs) == (ours, theirs)


def test_added_entries_stand_behind_what_they_were_put_behind() -> None:
    ours, theirs = deepcopy(BASE), deepcopy(BASE)
    new = {**BASE["outlet"][0], "id": "own", "name": "Own"}
    ours["outlet"].insert(1, new)
    theirs["outlet"].append({**new, "id": "their"})
    assert [each["id"] for each in both(ours, theirs)["outlet"]] == [
        BASE["outlet"][0]["id"],
        "own",
        *(each["id"] for each in BASE["outlet"][1:]),
        "their",
    ]


def test_one_order_stands_and_two_clash() -> None:
    first, second = deepcopy(BASE), deepcopy(BASE)
    first["limit"].insert(0, first["limit"].pop(1))
    second["limit"].insert(0, second["limit"].pop(2))
    assert both(first, deepcopy(BASE)) == first
    assert both(deepcopy(BASE), first) == first
    merged = merge(BASE, first, second)
    assert (merged.ours, merged.theirs) == (first, second)


@given(specs(), specs())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_whoever_changes_alone_gets_just_that(one: Spec, other: Spec) -> None:
    base, changed = tree_of(one), tree_of(other)
    for merged in (merge(base, changed, base), merge(base, base, changed), merge(base, changed, changed)):
        assert (merged.ours, merged.theirs) == (changed, changed)


@given(specs(), specs(), specs())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_who_sends_second_makes_no_difference_to_what_clashes(base: Spec, one: Spec, other: Spec) -> None:
    trees = [tree_of(each) for each in (base, one, other)]
    first, second = merge(*trees), merge(trees[0], trees[2], trees[1])
    assert first.clash is second.clash
