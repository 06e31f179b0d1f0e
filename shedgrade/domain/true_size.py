"""Shapes of known area, drawn at true size: what stands on the area card."""

from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.units import PI, root_half_up

UM_PER_MM = 1000

STEPS_MM2 = (25, 50, 100, 150, 200, 300, 400, 500, 600, 800, 1000, 1200)
"""The areas on the card, 0.25 to 12 cm²: our own choice, near enough to each other that the eye tells two neighbours
apart."""

CHECK_LINE_MM = 100

BANK_CARD_UM = (85_600, 53_980)
"""How wide and high a bank card is, in thousandths of a millimetre, and below how round its corners are."""
BANK_CARD_CORNER_UM = 3_180
BANK_CARD_SOURCE = Source("ISO/IEC 7810", "size ID-1", "", Mark.SECOND_HAND)

_LONG_BY_WIDE = 2  # of the ellipses: many marks run along a branch or a drip


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


def _across_um(area_mm2: int | Fraction) -> int:
    """√(4 A / π), to the nearest thousandth of a millimetre."""
    return int(root_half_up(area_mm2 / PI * (2 * UM_PER_MM) ** 2))
