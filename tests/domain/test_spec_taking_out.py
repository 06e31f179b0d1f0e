"""What goes with a class or a limit taken out of a spec, and what is called anew with one that is renamed."""

from copy import deepcopy
from typing import Any

from shedgrade.domain.spec.renaming import renamed
from shedgrade.domain.spec.taking_out import taken_out
from shedgrade.domain.spec.text import read_spec, read_tree, tree_of
from tests.support.whole_spec import QUELL, QUELL_SPEC

Tree = dict[str, Any]
WHOLE: Tree = tree_of(read_spec(QUELL_SPEC, {QUELL.id: QUELL}))
SWITCHED = "sugar"


def rows_of(tree: Tree, limit_id: str) -> list[Tree]:
    return [row for each in tree["limit"] if each["id"] == limit_id for row in each["rows"]]


def test_a_row_for_a_figure_of_a_limit_that_went_with_its_class_goes_too() -> None:
    tree = deepcopy(WHOLE)
    skin = next(each for each in tree["limit"] if each["id"] == "skin")
    skin["rows"] = [{"class": "II", "to": "<= 4 cm2"}]
    assert any("skin" in row.get("when", {}) for row in rows_of(tree, SWITCHED))
    spec = read_tree(taken_out(tree, "class", ["II"], QUELL), {QUELL.id: QUELL})
    assert "skin" not in {each.id for each in spec.limits}
    switches = {when.name for each in spec.limits for row in each.rows for when in row.when}
    assert switches == {"weight"}


def test_a_row_for_a_figure_of_the_crop_stays_where_a_limit_is_called_the_same() -> None:
    tree = deepcopy(WHOLE)
    tree["limit"].append({"id": "weight", "name": "weight", "of": "weight", "take": "value", "to": "any"})
    before = rows_of(tree, "even")
    assert rows_of(taken_out(tree, "limit", ["weight"], QUELL), "even") == before


def test_a_limit_renamed_is_called_so_where_a_row_is_for_its_figure() -> None:
    made = renamed(WHOLE, "limit", {"skin": "skin-marks", "weight": "heavy"}, QUELL)
    switches = {name for limit in (SWITCHED, "even") for row in rows_of(made, limit) for name in row.get("when", {})}
    assert switches == {"firmness", "colour stage", "skin-marks", "weight"}
