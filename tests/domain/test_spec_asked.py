"""What a spec asks to be taken, looked for and said."""

from hypothesis import HealthCheck, given, settings

from shedgrade.domain.crop import TakenOn
from shedgrade.domain.spec.asked import asked
from shedgrade.domain.spec.library import standards
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import tree_of
from tests.support.made_up_specs import specs
from tests.support.whole_spec import EVERYTHING, QUELL


def test_a_spec_that_uses_everything_asks_for_everything() -> None:
    answer = asked(EVERYTHING)
    assert answer.kinds == tuple(kind.id for kind in QUELL.kinds)
    assert answer.states == ("scar", "scald")
    assert [each.id for each in answer.fruit_measures] == ["width", "least-width", "good-colour", "pale-colour"]
    assert [each.id for each in answer.load_measures] == ["brix", "acid", "dry-matter", "firmness"]
    assert (answer.colour, answer.variety, answer.day) == (True, True, True)
    assert (answer.stages, answer.destinations) == (("packing", "distribution"), ("overseas",))
    assert (answer.grown_in, answer.presentations) == (("hills", "river flats"), ("layers",))


def test_a_spec_by_weight_and_marks_asks_nothing_of_the_load() -> None:
    answer = asked(standards()["mango-agmark"])
    assert "sap-stain" in answer.kinds
    assert not any((answer.fruit_measures, answer.load_measures, answer.colour, answer.variety, answer.day))
    assert not any((answer.states, answer.stages, answer.destinations, answer.grown_in, answer.presentations))


def names_in(value: object) -> set[str]:
    """Every text and key of a tree."""
    if isinstance(value, dict):
        return set(value) | {name for each in value.values() for name in names_in(each)}
    if isinstance(value, list):
        return {name for each in value for name in names_in(each)}
    return {value} if isinstance(value, str) else set()


@given(specs())
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_what_is_asked_stands_in_the_spec_and_what_a_limit_is_over_is_asked(spec: Spec) -> None:
    answer = asked(spec)
    names = names_in(tree_of(spec))
    measures = [*answer.fruit_measures, *answer.load_measures]
    assert names.issuperset([*answer.kinds, *(each.id for each in measures), *answer.stages, *answer.grown_in])
    assert all(each.on is TakenOn.FRUIT for each in answer.fruit_measures)
    over = {name for limit in spec.limits for way in limit.ways for name in way.measure.of}
    crop_names = {kind.id for kind in spec.crop.kinds} | {each.id for each in spec.crop.measures}
    assert over & crop_names <= {*answer.kinds, *(each.id for each in measures)}
