"""Many fruit at once are judged as each by itself, on every field of the verdict."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.grading.many import whole
from shedgrade.domain.spec.model import Spec
from tests.support import made_up, made_up_specs
from tests.support.every_spec import SPECS, in_loads
from tests.support.made_up import few, fruit, loads
from tests.support.many_fruit import TRAY, Maker, assert_agree, assert_figures_agree
from tests.support.whole_spec import EVERYTHING

EACH_SPEC = pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS.keys())


@EACH_SPEC
def test_every_field_of_2000_fruit(spec: Spec) -> None:
    for each in in_loads(spec, 2000, seed=1):
        assert_agree(spec, *each)


@pytest.mark.parametrize("spec", [SPECS["mango-codex-cxs184"], EVERYTHING], ids=lambda spec: spec.id)
def test_every_field_of_fruit_in_many_blocks(spec: Spec, monkeypatch: pytest.MonkeyPatch) -> None:
    """Several blocks at once, and blocks inside of them where fruit have several marks."""
    monkeypatch.setattr(whole, "BLOCK", 16)
    for each in in_loads(spec, 800, seed=7):
        assert_agree(spec, *each)


@pytest.mark.long
@EACH_SPEC
def test_every_field_of_20_000_fruit(spec: Spec) -> None:
    for seed in range(2, 7):
        for each in in_loads(spec, 4000, seed):
            assert_agree(spec, *each)


@EACH_SPEC
def test_every_figure(spec: Spec) -> None:
    maker = Maker(spec, seed=9)
    for load in (NOTHING_SAID, maker.load()):
        assert_figures_agree(spec, maker.fruit(60), load)


@few
@given(made_up.specs(), st.lists(fruit(), max_size=8), loads(), st.lists(st.sampled_from([None, *made_up.CODES])))
def test_made_up_specs(spec: Spec, fruit: list[Fruit], load: Load, codes: list[str | None]) -> None:
    given_codes = (codes * len(fruit))[: len(fruit)]
    assert_agree(spec, fruit, load, TRAY, given_codes if len(given_codes) == len(fruit) else ())


@few
@given(made_up.specs(), st.lists(fruit(), min_size=1, max_size=8), loads())
def test_made_up_figures(spec: Spec, fruit: list[Fruit], load: Load) -> None:
    assert_figures_agree(spec, fruit, load)


@few
@given(made_up_specs.specs(), st.lists(fruit(), max_size=8), loads())
def test_made_up_specs_of_every_concept(spec: Spec, fruit: list[Fruit], load: Load) -> None:
    assert_agree(spec, fruit, load, TRAY)
