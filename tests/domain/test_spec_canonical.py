"""The canonical text of a spec is what is hashed: it must never change for a spec that was published."""

from hashlib import sha256
from pathlib import Path

import pytest

from shedgrade.domain.spec.library import crops, standards
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import dump, read_spec, read_tree, tree_of, write_spec
from tests.support.whole_spec import EVERYTHING, QUELL

BEFORE = Path(__file__).parents[1] / "support" / "specs_before"
SEEDS = Path(__file__).parents[2] / "seed_data" / "specs"

# The files and the hashes of their texts as they were before the language grew: a shed has published by them.
PINNED = {
    "avocado-trade-4kg": "5bdb4e65f786ab300aeeff3b6f06d52a53a6c3cd8bc64533494eb5dc39b5cbfd",
    "mango-agmark": "1d261f6cd309fbce770198510ac1c035435b100b15005b4de7be24c9af08fa15",
    "mango-codex-cxs184": "ceb6761ffa365ea5f996a4c47e680d1dfab24336b0ff594484243b41d3bb2813",
    "mango-gost-33882": "2907d37477ac13c11ca149e5fc643d71c0a21cefa7808ccb462a1971a4081552",
    "mango-unece-ffv45": "9801ed4e243d72450e97bc678aff17096a71d058d5af80a2ac2c298db6424569",
    "kestrow-mango": "ece5821d56bbb1015e58241caf092d82250ada312074513916a2b8d36bce364d",
    "osmere-mango": "6f2777ce17c81ac8dc0383d956ea52483e1f07af1480a9a5934317ef53e31556",
}


def shipped() -> dict[str, Spec]:
    seeds = (read_spec(path.read_text("utf-8"), crops()) for path in sorted(SEEDS.glob("*.toml")))
    return standards() | {spec.id: spec for spec in seeds}


@pytest.mark.parametrize("spec_id", PINNED)
def test_a_spec_that_was_there_before_keeps_its_text_to_the_byte(spec_id: str) -> None:
    spec = read_spec((BEFORE / f"{spec_id}.toml").read_text("utf-8"), crops())
    assert sha256(write_spec(spec).encode()).hexdigest() == PINNED[spec_id]


def test_every_file_that_was_there_before_is_pinned() -> None:
    assert {path.stem for path in BEFORE.glob("*.toml")} == set(PINNED)


@pytest.mark.parametrize("spec", [*shipped().values(), EVERYTHING], ids=lambda spec: spec.id)
def test_text_and_tree_read_back_as_the_same_spec(spec: Spec) -> None:
    known = {spec.crop.id: spec.crop}
    assert read_spec(write_spec(spec), known) == spec
    assert read_tree(tree_of(spec), known) == spec
    assert dump(tree_of(spec)) == write_spec(spec)


def test_the_order_of_switches_does_not_reach_the_written_form() -> None:
    limit = next(each for each in EVERYTHING.limits if each.id == "sugar")
    assert [when.name for when in limit.rows[1].when] == ["colour stage", "firmness", "skin"]
    assert QUELL.measure("brix").source.on == "2026-03-01"
