"""Shapes of known area, drawn at true size: what stands on the area card, and which circles are offered for tapping."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import chain
from math import isqrt

from shedgrade.domain.bound import Bound
from shedgrade.domain.crop import Measured
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.measure import By, Measure, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import PI

UM_PER_MM = 1000

STEPS_MM2 = (25, 50, 100, 150, 200, 300, 400, 500, 600, 800, 1000, 1200)
"""The areas on the card, 0.25 to 12 cm², and the steps between a spec's limits: our own choice, near enough to each
other that the eye tells two neighbours apart."""

CHECK_LINE_MM = 100

BANK_CARD_UM = (85_600, 53_980)
"""How wide and high a bank card is, in thousandths of a millimetre, and below how round its corners are."""
BANK_CARD_CORNER_UM = 3_180
BANK_CARD_SOURCE = Source("ISO/IEC 7810", "size ID-1", "", Mark.SECOND_HAND)

_LONG_BY_WIDE = 2  # of the ellipses: many marks run along a branch or a drip
_TELLS_APART = Fraction(11, 10)  # a step nearer to a limit than this is left out; our own


@dataclass(frozen=True, slots=True)
class Shape:
    """A circle, or an ellipse lying on its side: its area in mm², its width and height in thousandths of a mm."""

    area_mm2: int
    width_um: int
    height_um: int

    @property
    def is_circle(self) -> bool:
        """Whether it is as wide as it is high."""
        return self.width_um == self.height_um


@dataclass(frozen=True, slots=True)
class Offered:
    """One circle to tap: its area, and the classes (by id) in which it is the most that some limit allows."""

    area_mm2: int
    most_in: tuple[str, ...] = ()

    @property
    def across_um(self) -> int:
        """How wide the circle is, in thousandths of a millimetre."""
        return circle(self.area_mm2).width_um


def circle(area_mm2: int) -> Shape:
    """The circle of this area."""
    across = _across_um(area_mm2)
    return Shape(area_mm2, across, across)


def ellipse(area_mm2: int) -> Shape:
    """The ellipse of this area that is twice as wide as it is high."""
    return Shape(area_mm2, _across_um(area_mm2 * _LONG_BY_WIDE), _across_um(Fraction(area_mm2, _LONG_BY_WIDE)))


def card_shapes() -> tuple[Shape, ...]:
    """What stands on the area card: the circles from small to large, then the ellipses."""
    return (*map(circle, STEPS_MM2), *map(ellipse, STEPS_MM2))


def areas_offered(spec: Spec, kind_id: str) -> tuple[Offered, ...]:
    """The circles to offer for a mark of this kind, from small to large: each limit of the spec on its area, or the
    largest whole mm² under it, with the steps between and one step over the largest. None for a kind not measured by
    area. Limits that grow with the fruit (``as_on``) are left out: no one circle is theirs."""
    if spec.crop.kind(kind_id).measure is not Measured.AREA:
        return ()
    limits = _limits(spec, kind_id)
    offered = {area: Offered(area, tuple(classes)) for area, classes in limits.items()}
    offered |= {area: Offered(area) for area in _between(sorted(limits))}
    return tuple(offered[area] for area in sorted(offered))


def _across_um(area_mm2: int | Fraction) -> int:
    """√(4 A / π), to the nearest thousandth of a millimetre."""
    return (isqrt(int(4 * area_mm2 / PI * (2 * UM_PER_MM) ** 2)) + 1) // 2


def _limits(spec: Spec, kind_id: str) -> dict[int, list[str]]:
    """The most allowed, in whole mm², each with the classes it is a limit of, best first."""
    found: dict[int, set[str]] = {}
    every = [each.id for each in spec.classes]
    for way in (way for limit in spec.limits for way in limit.ways):
        for row in way.rows if _is_area_of(way.measure, kind_id) else ():
            found.setdefault(_most(row.to), set()).update(row.classes or every)
    steps = chain.from_iterable(each.steps for each in spec.severities if _is_area_of(each.measure, kind_id))
    for step in steps:
        found.setdefault(_most(step.to), set())
    return {area: [each for each in every if each in classes] for area, classes in found.items() if area}


def _is_area_of(measure: Measure, kind_id: str) -> bool:
    is_area = measure.take in (Take.SUM, Take.LARGEST) and measure.by is By.AREA and measure.as_on is None
    return is_area and kind_id in measure.of


def _most(bound: Bound) -> int:
    """The largest whole mm² allowed; 0 where there is no upper end."""
    return bound.whole()[1] or 0


def _between(limits: list[int]) -> list[int]:
    """The steps up to the first one over the largest limit, without those that could be taken for a limit."""
    apart = [step for step in STEPS_MM2 if all(_are_apart(step, limit) for limit in limits)]
    if not limits:
        return apart
    over = [step for step in apart if step > limits[-1]]
    return [step for step in apart if step < limits[-1]] + over[:1]


def _are_apart(one: int, other: int) -> bool:
    return max(one, other) >= min(one, other) * _TELLS_APART
