"""The form of a part: whatever a spec can say goes into its fields and comes out as it was."""

from typing import Any

import pytest

from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_tree, tree_of, write_spec
from shedgrade.web.draft_fields import part_of, parts_of
from shedgrade.web.part_form import Built, after_deed, held_of, numbers_of, typed_of
from shedgrade.web.routes.draft_parts import _put
from tests.support.whole_spec import EVERYTHING, QUELL

CROPS = {**library.crops(), QUELL.id: QUELL}
SPECS = [EVERYTHING, *library.standards().values()]


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.id)
def test_every_part_of_every_spec_comes_back_as_it_was(spec: Spec) -> None:
    for part_id, _, _ in parts_of(spec):
        if part_id == "new-limit":
            continue
        part = part_of(spec, part_id)
        assert part is not None
        built = Built(typed_of(part.fields, held_of(tree_of(spec), part.place)))
        again = read_tree(_put(tree_of(spec), part, built), CROPS)
        assert write_spec(again) == write_spec(spec), part_id


def entries(*names: str) -> list[tuple[str, str]]:
    return [
        pair
        for number, name in enumerate(names)
        for pair in ((f"rows-{number}-was", str(number)), (f"rows-{number}-to", name))
    ]


@pytest.mark.parametrize(
    ("deed", "after", "touched"),
    [
        ("up rows-1", ["b", "a", "c"], "rows-0"),
        ("up rows-0", ["a", "b", "c"], "rows-0"),
        ("down rows-1", ["a", "c", "b"], "rows-2"),
        ("down rows-2", ["a", "b", "c"], "rows-2"),
        ("remove rows-1", ["a", "c"], "rows-1"),
        ("remove rows-2", ["a", "b"], "rows-1"),
        ("copy rows-1", ["a", "b", "b", "c"], "rows-2"),
        ("add rows", ["a", "b", "c", None], "rows-3"),
    ],
)
def test_what_the_buttons_of_a_list_do(deed: str, after: list[str | None], touched: str) -> None:
    typed, at = after_deed(entries("a", "b", "c"), deed)
    held: dict[str, Any] = dict(typed)
    assert [held.get(f"rows-{number}-to") for number in numbers_of(typed, "rows")] == after
    assert at == touched
    assert held[f"rows-{at.rpartition('-')[2]}-was"] == ("" if deed.startswith(("add", "copy")) else held[f"{at}-was"])
