"""The size table of a spec: bands by weight, by a measure of the fruit, or by how many fruit make up a mass."""

from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from shedgrade.domain import units
from shedgrade.domain.bound import Bound, Unit, say
from shedgrade.domain.source import Source
from shedgrade.domain.spec.measure import WEIGHT


class Rounding(StrEnum):
    """What a size table does to a figure before the look-up; the stored figure stays as it was."""

    NONE = "none"
    HALF_UP_TO_THE_GRAM = "half up to the gram"
    HALF_UP_TO_THE_MILLIMETRE = "half up to the millimetre"
    HALF_UP_TO_THE_WHOLE = "half up to the whole number"


@dataclass(frozen=True, slots=True)
class Band:
    """One size code, the figures it holds, and for which varieties it is (empty means all)."""

    name: str
    to: Bound
    source: Source
    varieties: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Scale:
    """The size table. Bands may overlap or leave gaps: a figure has none, one or several codes, in file order.

    ``of`` is WEIGHT or a measure of the crop, in ``unit``. ``count_in_g`` turns the weight into the number of such
    fruit in that mass ("fruit per 3 kg"), which is then looked up.
    """

    bands: tuple[Band, ...]
    rounding: Rounding
    source: Source
    of: str = WEIGHT
    unit: Unit = Unit.GRAM
    count_in_g: Fraction | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """The size codes, each once, in file order."""
        return tuple(dict.fromkeys(band.name for band in self.bands))

    def looked_up(self, figure: units.Exact) -> units.Exact:
        """The figure in base units as the table looks it up: rounded as the table says, or fruit in the mass."""
        if self.count_in_g is not None:
            figure = self.count_in_g * units.DG_PER_G / Fraction(figure)
        step = self.step
        return figure if step is None else units.round_half_up(Fraction(figure) / step) * step

    @property
    def step(self) -> int | None:
        """How many base units it rounds to; None where it does not."""
        return _STEPS[self.rounding]

    def codes(self, figure: units.Exact, variety: str | None = None) -> tuple[str, ...]:
        """The size codes of a weight or measure in base units, in file order; bands of other varieties fall away."""
        value = self.looked_up(figure)
        return tuple(
            band.name
            for band in self.bands
            if band.to.allows(value) and (not band.varieties or variety in band.varieties)
        )

    def overlap(self, one: Band, other: Band) -> Bound | None:
        """The figures that get both codes, as the table looks them up; None where no figure does."""
        if one.varieties and other.varieties and not set(one.varieties) & set(other.varieties):
            return None
        both = one.to.shared(other.to)
        if both is None or self.step is None:
            return both
        low, high = (None if end is None else end / self.step for end in (both.low, both.high))
        least, most = replace(both, low=low, high=high).whole()
        return both if least is None or most is None or least <= most else None

    def beside(self, code: str, variety: str | None = None) -> tuple[str, ...]:
        """A size code with the next one up and the next one down, in file order; of those for the variety, and with
        None of all."""
        every = [band.name for band in self.bands if not band.varieties or variety in (None, *band.varieties)]
        names = tuple(dict.fromkeys(every))
        place = names.index(code) if code in names else None
        return () if place is None else names[max(0, place - 1) : place + 2]

    def says(self) -> str:
        """How far the table reaches: "sizes run from 200 g to 800 g", "sizes start at 100 g"."""
        lows = [band.to.low for band in self.bands]
        highs = [band.to.high for band in self.bands]
        low = None if None in lows else min((end for end in lows if end is not None), default=None)
        high = None if None in highs else max((end for end in highs if end is not None), default=None)
        if low is not None and high is not None:
            return f"sizes run from {say(low, self.unit)} to {say(high, self.unit)}"
        if low is not None:
            return f"sizes start at {say(low, self.unit)}"
        return f"sizes end at {say(high, self.unit)}" if high is not None else "sizes have no ends"


_STEPS = {
    Rounding.NONE: None,
    Rounding.HALF_UP_TO_THE_GRAM: units.DG_PER_G,
    Rounding.HALF_UP_TO_THE_MILLIMETRE: units.DMM_PER_MM,
    Rounding.HALF_UP_TO_THE_WHOLE: 1,
}
