"""How a figure is got where nobody says it."""

from typing import Any

import pytest

from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import tree_of
from shedgrade.domain.spec.usual import with_usual
from tests.support.whole_spec import QUELL


@pytest.mark.parametrize("spec", library.standards().values(), ids=lambda spec: spec.id)
def test_what_a_spec_says_stays(spec: Spec) -> None:
    assert with_usual(tree_of(spec), spec.crop) == tree_of(spec)


@pytest.mark.parametrize(
    ("of", "take", "by"),
    [
        ("scar", "sum", "area"),
        (["scar", "scald"], "sum", "area"),
        ("russet", "sum", "share"),
        (["russet", "scar"], "sum", "area"),
        ("crack", "sum", "length"),
        ("spots", "places", None),
        ("rot", "present", None),
        (["rot", "spots"], None, None),
        (["scar", "rot"], None, None),
        (["scar", "crack"], None, None),
        ("weight", "value", None),
        ("colour stage", "value", None),
        ("size code", "codes", None),
        ("brix", "value", None),
        (["brix", "acid"], None, None),
        ("scarring", "severity", None),
        ("nothing known", None, None),
        ([], "value", None),
    ],
    ids=str,
)
def test_how_a_figure_is_got_follows_from_what_it_is_got_from(
    of: str | list[str], take: str | None, by: str | None
) -> None:
    tree: dict[str, list[dict[str, Any]]] = {
        "severity": [{"id": "scarring", "of": "scar", "take": "largest"}],
        "limit": [{"of": of, "or_else": [{"of": of}]}],
    }
    made = with_usual(tree, QUELL)
    for table in (made["limit"][0], made["limit"][0]["or_else"][0]):
        assert (table.get("take"), table.get("by")) == (take, by)
    assert made["severity"][0]["by"] == "area"
    assert "take" not in tree["limit"][0]


def test_what_is_asked_of_a_package_is_how_far_its_fruit_differ() -> None:
    made = with_usual({"limit": [{"of": "weight", "level": "package"}]}, QUELL)
    assert made["limit"][0]["take"] == "spread"
