"""What was measured on one fruit, and what the fruit of a load share. Facts only: a class is an opinion and is worked
out elsewhere."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import lru_cache

from shedgrade.domain import units
from shedgrade.domain.bound import Bound, Unit, say

_MM3_PER_DG = 100  # at 1 g/cm³
_TIMES_A_SPHERE = Fraction(3, 2)

EIGHT_CUBES_PER_DG2 = 8 * _TIMES_A_SPHERE**3 * 36 * units.PI * _MM3_PER_DG**2
"""Eight times the cube of the surface of a fruit of one decigram; that of any other goes by its weight squared."""


@dataclass(frozen=True, slots=True)
class Defect:
    """One mark seen on a fruit: its kind and, where it was measured, its area or its share of the surface, its length,
    in how many places it is. ``states`` are the states seen on it; None means that nobody looked at its state."""

    kind: str
    area_mm2: int | None = None
    share_bp: int | None = None
    length_dmm: int | None = None
    places: int | None = None
    states: frozenset[str] | None = None

    def __post_init__(self) -> None:
        """Refuse what no fruit can show; ValueError."""
        if self.area_mm2 is not None and self.area_mm2 < 0:
            raise ValueError(f"an area of {units.say_area(self.area_mm2)} cannot be: give 0 or more")
        if self.share_bp is not None and not 0 <= self.share_bp <= units.BP:
            raise ValueError(f"{units.say_percent(Fraction(self.share_bp, units.BP), 2)} cannot be: give 0 to 100 %")
        if self.length_dmm is not None and self.length_dmm < 0:
            raise ValueError(f"a length of {say(Fraction(self.length_dmm), Unit.MM)} cannot be: give 0 or more")
        if self.places is not None and self.places < 0:
            raise ValueError(f"{self.places} places cannot be: give 0 or more")

    @property
    def is_measured(self) -> bool:
        """Whether it is known how much of the surface it covers."""
        return self.area_mm2 is not None or self.share_bp is not None

    @property
    def is_there(self) -> bool:
        """Whether there is anything: a figure of 0 says that it was looked for and not found."""
        if self.area_mm2 or self.share_bp or self.length_dmm or self.places:
            return True
        return not self.is_measured and self.length_dmm is None and self.places is None


@dataclass(frozen=True, slots=True)
class Fruit:
    """One fruit as measured. ``looked_for`` names the kinds looked for; None means all kinds of the crop.

    ``stage`` None means the colour was not taken. A kind not looked for leaves the limits over it not judged.
    The same kind twice is two marks of it; they add up. ``measures`` holds what else was taken of this fruit, by the
    id of the crop's measure, in its stored whole numbers; what is not in it was not taken.
    """

    weight_dg: int
    stage: int | None = None
    defects: tuple[Defect, ...] = ()
    looked_for: frozenset[str] | None = None
    measures: tuple[tuple[str, int], ...] = ()

    def __post_init__(self) -> None:
        """Refuse a fruit without weight; ValueError."""
        if self.weight_dg <= 0:
            raise ValueError(f"a fruit of {units.say_weight(self.weight_dg)} cannot be: the weight must be over 0 g")


@dataclass(frozen=True, slots=True)
class MaturityFigure:
    """What a maturity test says of a load: the mean of so many fruit, an exact fraction in base units. ``low`` to
    ``high`` is where the mean of the whole load lies, 95 % sure; None where single figures are not known."""

    measure: str
    mean: Fraction
    fruit: int
    day: date | None = None
    low: Fraction | None = None
    high: Fraction | None = None

    def close_to(self, asked: Bound) -> bool:
        """Whether the range reaches to both sides of an end of what is asked, so that nobody can tell for sure."""
        low, high = self.low, self.high
        if low is None or high is None:
            return False
        return any(end is not None and low <= end <= high for end in (asked.low, asked.high))


@dataclass(frozen=True, slots=True)
class Load:
    """What the fruit of a load share. None means that nobody said it; a row that asks for it is then not judged.

    ``day`` is the day of the inspection, ``stage`` the stage of marketing. ``tests`` hold one mean a measure.
    """

    variety: str | None = None
    day: date | None = None
    stage: str | None = None
    destination: str | None = None
    grown_in: str | None = None
    presentation: str | None = None
    tests: tuple[MaturityFigure, ...] = ()


NOTHING_SAID = Load()


@lru_cache(maxsize=4096)
def blemish_surface_mm2(weight_dg: int) -> int:
    """The surface a blemish could cover, in whole mm²: one and a half times a sphere of that weight at 1 g/cm³.

    Ours, no published source: fruit are longer than a ball of their weight, and the figure serves only to turn
    cm² into a share of the surface and back where a spec asks for the other one than was measured. A sphere of
    volume V has the surface (36 pi V^2)^(1/3); the cube root is taken in whole numbers, halves rounded up.
    """
    return _half_the_cube_root(EIGHT_CUBES_PER_DG2 * weight_dg**2)


def _half_the_cube_root(eight_times: Fraction) -> int:
    """The whole number nearest the cube root of an eighth; exact, a binary search in whole numbers."""
    # (2r - 1)^3 <= 8 value means r - 1/2 lies at or below the root
    low, high = 0, 1 << (eight_times.numerator.bit_length() // 3 + 2)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if (2 * middle - 1) ** 3 <= eight_times else (low, middle - 1)
    return low
