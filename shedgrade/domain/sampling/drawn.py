"""The graded fruit of a sample, draw by draw, and what they say about the consignment they were drawn from."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from shedgrade.domain.sampling.estimate import Draw, Estimate, lower_bound, ratio, scaled, shifted
from shedgrade.domain.units import DG_PER_G, G_PER_KG, Exact


class Base(StrEnum):
    """What a figure is a part of, or was worked out for, in the words the page shows."""

    NUMBER = "of the fruit, by number"
    WEIGHT = "of the fruit, by weight"
    NET = "for the received net weight"
    PACK_OUT = "packed weight over received net weight"


@dataclass(frozen=True, slots=True)
class GradedFruit:
    """One fruit with the opinion of a spec: ``class_id`` None makes no class, ``outlet_id`` None goes into a tray.

    ``count`` is the count it is packed to, None for fruit of no tray. ``value_minor`` is what it brings, negative
    where it costs money to be rid of it (see :func:`tray_value` and :func:`loose_value`), None without a price.
    """

    weight_dg: int
    class_id: str | None
    count: int | None
    outlet_id: str | None
    packed: bool
    value_minor: Fraction | None

    def is_in_cell(self, class_id: str, count: int) -> bool:
        """Whether it goes into trays of this class and count."""
        return self.outlet_id is None and self.class_id == class_id and self.count == count


# The fruit of a sample, draw by draw.
Draws = Sequence[Sequence[GradedFruit]]
Test = Callable[[GradedFruit], bool]


def tray_value(price_minor: Exact, count: int) -> Fraction:
    """What one fruit of a tray brings: the price of the tray over its count."""
    return Fraction(price_minor) / count


def loose_value(price_minor_per_kg: Exact, weight_dg: int) -> Fraction:
    """What one fruit brings where the price is per kilogram."""
    return Fraction(price_minor_per_kg) * weight_dg / (DG_PER_G * G_PER_KG)


@dataclass(frozen=True, slots=True)
class Sample:
    """Draws with fruit, and the net weight they stand for. Each method is one figure over the fruit of a test."""

    draws: tuple[tuple[GradedFruit, ...], ...]
    net_g: int

    @classmethod
    def of(cls, draws: Draws, net_g: int) -> "Sample":
        """Leave out the draws without fruit; ValueError if none is left, or without net weight."""
        seen = tuple(tuple(draw) for draw in draws if draw)
        if not seen:
            raise ValueError("no fruit was looked at: a pack-out needs at least one")
        if net_g <= 0:
            raise ValueError(f"a consignment weighs more than 0 g, not {net_g} g")
        return cls(seen, net_g)

    @property
    def every(self) -> tuple[GradedFruit, ...]:
        """All fruit, draw after draw."""
        return tuple(fruit for draw in self.draws for fruit in draw)

    def by_number(self, test: Test, confidence: float) -> Estimate:
        """Their share of the fruit."""
        totals = [Draw(sum(map(test, draw)), len(draw), len(draw)) for draw in self.draws]
        return ratio(totals, confidence, share=True, base=Base.NUMBER)

    def by_weight(self, test: Test, confidence: float, base: Base = Base.WEIGHT) -> Estimate:
        """Their share of the weight."""
        return ratio(self._per_weight(lambda fruit: fruit.weight_dg * test(fruit)), confidence, share=True, base=base)

    def mass(self, test: Test, confidence: float) -> Estimate:
        """Their grams in the consignment."""
        return scaled(self.by_weight(test, confidence), self.net_g, Base.NET)

    def fruit(self, confidence: float) -> Estimate:
        """How many fruit the consignment holds."""
        return scaled(ratio(self._per_weight(lambda _: 1), confidence), self.net_g * DG_PER_G, Base.NET)

    def trays(self, class_id: str, count: int, confidence: float) -> Estimate:
        """Expected trays of a class and count."""
        per_dg = ratio(self._in_cell(class_id, count), confidence)
        return scaled(per_dg, Fraction(self.net_g * DG_PER_G, count), Base.NET)

    def promised_trays(self, class_id: str, count: int, confidence: float) -> Estimate:
        """The same with only a lower bound."""
        per_dg = lower_bound(self._in_cell(class_id, count), confidence)
        return scaled(per_dg, Fraction(self.net_g * DG_PER_G, count), Base.NET)

    def value(self, test: Test, confidence: float) -> Estimate | None:
        """What they bring, in the currency's smallest unit; None when no fruit of the sample brings or costs anything.

        Where getting rid of fruit costs money, the same amount per weight is first added to every fruit, so that no
        total is negative, and taken off the answer again: the spread between the bins is the same either way.
        """
        if not any(map(_value, self.every)):
            return None

        def worth(fruit: GradedFruit) -> Fraction:
            return _value(fruit) * test(fruit)

        cost = max(Fraction(0), *(-worth(fruit) / fruit.weight_dg for fruit in self.every))
        most = max(abs(_value(fruit)) + cost * fruit.weight_dg for fruit in self.every)
        per_dg = ratio(
            self._per_weight(lambda fruit: worth(fruit) + cost * fruit.weight_dg), confidence, most_per_fruit=most
        )
        brought = scaled(per_dg, self.net_g * DG_PER_G, Base.NET)
        return shifted(brought, -cost * self.net_g * DG_PER_G) if cost else brought

    def _in_cell(self, class_id: str, count: int) -> list[Draw]:
        return self._per_weight(lambda fruit: int(fruit.is_in_cell(class_id, count)))

    def _per_weight(self, amount: Callable[[GradedFruit], Exact]) -> list[Draw]:
        return [
            Draw(_sum(map(amount, draw)), _sum(fruit.weight_dg for fruit in draw), len(draw)) for draw in self.draws
        ]


def _value(fruit: GradedFruit) -> Fraction:
    return fruit.value_minor or Fraction(0)


def _sum(amounts: Iterable[Exact]) -> Exact:
    return sum(amounts, 0)
