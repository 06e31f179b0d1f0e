"""What a consignment packs out: from fruit drawn before any sorting, graded, to kilograms, trays and value.

Every figure is an estimate over the draws and says its base. Expected trays are the received net weight over the
mean fruit weight, times the cell's share by number, over the count: one ratio of fruit in the cell to weight drawn.
Kilograms over the label weight would promise too many, since trays carry more than their label.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shedgrade.domain.sampling.drawn import Base, Draws, GradedFruit, Sample, loose_value, tray_value
from shedgrade.domain.sampling.estimate import Estimate

__all__ = [
    "Base",
    "CellRow",
    "ClassRow",
    "Draws",
    "GradedFruit",
    "OutletRow",
    "PackOut",
    "loose_value",
    "pack_out",
    "promised_trays",
    "tray_value",
]


@dataclass(frozen=True, slots=True)
class ClassRow:
    """A class by number, by weight, in grams of the consignment and in money (None without any price).

    ``class_id`` None is the fruit that makes no class.
    """

    class_id: str | None
    by_number: Estimate
    by_weight: Estimate
    mass_g: Estimate
    value_minor: Estimate | None


@dataclass(frozen=True, slots=True)
class CellRow:
    """Fruit of one class packed to one count: share by number, and trays of the consignment."""

    class_id: str
    count: int
    by_number: Estimate
    trays: Estimate


@dataclass(frozen=True, slots=True)
class OutletRow:
    """What goes to an outlet by weight and in grams of the consignment; ``outlet_id`` None goes into trays."""

    outlet_id: str | None
    by_weight: Estimate
    mass_g: Estimate


@dataclass(frozen=True, slots=True)
class PackOut:
    """What a consignment of ``net_g`` packs out.

    ``pack_out`` is a share of one, ``fruit`` the number of fruit in the consignment. ``unpriced`` fruit of those
    looked at had no price and count in the value as nothing; without any price the value is None.
    """

    net_g: int
    n_fruit: int
    n_draws: int
    pack_out: Estimate
    fruit: Estimate
    value_minor: Estimate | None
    unpriced: int
    classes: tuple[ClassRow, ...]
    cells: tuple[CellRow, ...]
    outlets: tuple[OutletRow, ...]


def pack_out(
    draws: Draws,
    net_g: int,
    *,
    classes: Sequence[str] = (),
    counts: Sequence[int] = (),
    outlets: Sequence[str] = (),
    confidence: float = 0.95,
) -> PackOut:
    """Everything a sample says about a consignment. Draws without fruit are left out.

    ``classes``, ``counts`` and ``outlets`` set the order of the rows and are listed even where nothing was found,
    for then something may still be there. ValueError without any fruit or without net weight.
    """
    sample = Sample.of(draws, net_g)
    every = sample.every
    return PackOut(
        net_g=net_g,
        n_fruit=len(every),
        n_draws=len(sample.draws),
        pack_out=sample.by_weight(lambda fruit: fruit.packed, confidence, Base.PACK_OUT),
        fruit=sample.fruit(confidence),
        value_minor=sample.value(lambda _: True, confidence),
        unpriced=sum(fruit.value_minor is None for fruit in every),
        classes=tuple(
            _class_row(sample, class_id, confidence)
            for class_id in _listed(classes, (fruit.class_id for fruit in every))
        ),
        cells=tuple(
            _cell_row(sample, class_id, count, confidence) for class_id, count in _cells(classes, counts, every)
        ),
        outlets=tuple(
            _outlet_row(sample, outlet_id, confidence)
            for outlet_id in _listed(outlets, (fruit.outlet_id for fruit in every))
        ),
    )


def promised_trays(draws: Draws, net_g: int, class_id: str, count: int, confidence: float = 0.90) -> Estimate:
    """Trays of a class and count that can be promised: ``low`` is exceeded with this confidence."""
    return Sample.of(draws, net_g).promised_trays(class_id, count, confidence)


def _class_row(sample: Sample, class_id: str | None, confidence: float) -> ClassRow:
    def is_in(fruit: GradedFruit) -> bool:
        return fruit.class_id == class_id

    return ClassRow(
        class_id=class_id,
        by_number=sample.by_number(is_in, confidence),
        by_weight=sample.by_weight(is_in, confidence),
        mass_g=sample.mass(is_in, confidence),
        value_minor=sample.value(is_in, confidence),
    )


def _cell_row(sample: Sample, class_id: str, count: int, confidence: float) -> CellRow:
    return CellRow(
        class_id=class_id,
        count=count,
        by_number=sample.by_number(lambda fruit: fruit.is_in_cell(class_id, count), confidence),
        trays=sample.trays(class_id, count, confidence),
    )


def _outlet_row(sample: Sample, outlet_id: str | None, confidence: float) -> OutletRow:
    def is_in(fruit: GradedFruit) -> bool:
        return fruit.outlet_id == outlet_id

    return OutletRow(outlet_id, sample.by_weight(is_in, confidence), sample.mass(is_in, confidence))


def _listed(asked: Sequence[str], found: Iterable[str | None]) -> tuple[str | None, ...]:
    """What was asked for in its order, then what else was found, None last."""
    others = sorted({key for key in found if key is not None} - set(asked))
    return (*dict.fromkeys(asked), *others, None)


def _cells(classes: Sequence[str], counts: Sequence[int], every: Sequence[GradedFruit]) -> tuple[tuple[str, int], ...]:
    """Every class asked for with every count asked for, then what else was found in trays."""
    asked = [(class_id, count) for class_id in classes for count in counts]
    found = {(fruit.class_id, fruit.count) for fruit in every if fruit.outlet_id is None}
    others = sorted((class_id, count) for class_id, count in found if class_id is not None and count is not None)
    return tuple(dict.fromkeys([*asked, *others]))
