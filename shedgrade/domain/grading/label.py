"""The sizes of a fruit, and whether it has the one that stands on the label."""

from fractions import Fraction

from shedgrade.domain.grading.facts import Fruit, Load
from shedgrade.domain.grading.told import Told
from shedgrade.domain.spec.measure import WEIGHT
from shedgrade.domain.spec.model import Spec


def own_sizes(spec: Spec, fruit: Fruit, load: Load) -> tuple[str, ...]:
    """All size codes of a fruit, in file order; none when what the size goes by was not taken."""
    figure = _figure(spec, fruit)
    return () if figure is None else spec.scale.codes(figure, load.variety)


def has_size(spec: Spec, fruit: Fruit, code: str | None, load: Load) -> Told:
    """Whether a fruit has the size code on the label; without a code on it, whether it has any size.

    None when what the size goes by was not taken, or the bands hang on a variety that nobody gave. A spec without a
    size table asks for no size: True.
    """
    if not spec.scale.bands:
        return True
    asked = [band for band in spec.scale.bands if code in (None, band.name)]
    if _figure(spec, fruit) is None or (load.variety is None and any(band.varieties for band in asked)):
        return None
    codes = own_sizes(spec, fruit, load)
    return bool(codes) if code is None else code in codes


def _figure(spec: Spec, fruit: Fruit) -> Fraction | None:
    """The weight, or the measure that the size table goes by, in base units; None when it was not taken."""
    if spec.scale.of == WEIGHT:
        return Fraction(fruit.weight_dg)
    stored = dict(fruit.measures).get(spec.scale.of)
    return None if stored is None else spec.crop.measure(spec.scale.of).base(stored)
