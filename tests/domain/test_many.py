"""Many fruit at once are judged as each by itself, on every field of the verdict."""

from collections.abc import Iterator
from itertools import cycle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.grading.many import whole
from shedgrade.domain.spec.library import standards
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from tests.support import made_up, made_up_specs
from tests.support.made_up import few, fruit, loads
from tests.support.many_fruit import TRAY, Maker, assert_agree, assert_figures_agree
from tests.support.quell import quell
from tests.support.whole_spec import EVERYTHING

# Marks of whose state nobody knows, against ends on either side: more than the built-in specs ask.
IN_FLESH = """
[[limit]]
id = "sum"
name = "sum"
of = "scar"
take = "sum"
by = "area"
state = "into flesh"
to = "< 3 cm2"

[[limit]]
id = "largest"
name = "largest"
of = "scar"
take = "largest"
by = "share"
state = "into flesh"
to = ">= 1 % and <= 5 %"

[[limit]]
id = "as-on"
name = "as on"
of = "scar"
take = "sum"
by = "area"
state = "into flesh"
as_on = { of = "width", size = "50 mm" }
to = "> 2 cm2"

[[limit]]
id = "places"
name = "places"
of = ["scar", "scald"]
take = "places"
state = "progressive"
to = "<= 2"

[[limit]]
id = "present"
name = "present"
of = ["scar", "scald"]
take = "present"
state = "progressive"
rows = [{ class = "I", when = { sum = "<= 1 cm2" }, to = "nil" }, { to = "<= 1" }]
"""
SPECS = {spec.id: spec for spec in (*standards().values(), EVERYTHING, quell(IN_FLESH))}
EACH_SPEC = pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS.keys())
LOADS = 8  # into which the fruit of a spec are divided


def in_loads(
    spec: Spec, number: int, seed: int
) -> Iterator[tuple[list[Fruit], Load, TrayType | None, list[str | None]]]:
    """So many fruit in loads: nothing said of the first, then more or less; every other on a tray, with codes."""
    maker = Maker(spec, seed)
    for load_number, tray in zip(range(LOADS), cycle([None, TRAY]), strict=False):
        some = maker.fruit(number // LOADS)
        yield some, maker.load() if load_number else NOTHING_SAID, tray, maker.codes(len(some)) if tray else []


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
