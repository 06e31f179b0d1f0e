"""The canonical text of a spec is what is hashed: it must never change for a spec that was published."""

from hashlib import sha256
from pathlib import Path

import pytest

from shedgrade.domain.spec.library import crops, standards
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import dump, read_spec, read_tree, tree_of, write_spec
from tests.support.whole_spec import EVERYTHING, QUELL

SEEDS = Path(__file__).parents[2] / "seed_data" / "specs"

# The invented buyers' were taken of the program before the language grew, the standards' when they got tolerances and
# package differences, which made new versions of them.
PINNED = {
    "avocado-trade-4kg": "373d4411758dce56f64b8c1d81f9676caa7d58bd84d56f46c298d6e565d99831",
    "mango-agmark": "c221b27261847deae8d0ea044721ee1fc2764184eb77e53c8b3735c645c60ed4",
    "mango-codex-cxs184": "617b7449005d388c2540941cd4e80e5b4f6b6adf37a4657763ee4f4ee5a543b6",
    "mango-gost-33882": "f087e2a3cfd9dc83ed0693b9641c98ea0d2b4f10543e45f6bcbbcc5be1e2d2cd",
    "mango-unece-ffv45": "f5a8bca847d7c5042796166b5b6d57b27d805cbecbd961507d477fdc64d71742",
    "kestrow-mango": "ece5821d56bbb1015e58241caf092d82250ada312074513916a2b8d36bce364d",
    "osmere-mango": "6f2777ce17c81ac8dc0383d956ea52483e1f07af1480a9a5934317ef53e31556",
}


def shipped() -> dict[str, Spec]:
    seeds = (read_spec(path.read_text("utf-8"), crops()) for path in sorted(SEEDS.glob("*.toml")))
    return standards() | {spec.id: spec for spec in seeds}


@pytest.mark.parametrize("spec_id", PINNED)
def test_a_spec_that_was_there_before_keeps_its_text_to_the_byte(spec_id: str) -> None:
    assert sha256(write_spec(shipped()[spec_id]).encode()).hexdigest() == PINNED[spec_id]


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
