"""Quick looks in words: always by eye, with how many fruit and how far the load may be off."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from shedgrade.domain.people import Doer
from shedgrade.domain.sampling.by_eye import of_one_tray
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import DG_PER_G, say_mass, say_weight
from shedgrade.storage.quick_looks import Look
from shedgrade.storage.tables import QuickLookFruit
from shedgrade.storage.voided import Voided
from shedgrade.web import ranges
from shedgrade.web.ranges import Said

NO_CLASS = "No class"
OTHER_REASON = "another reason"


@dataclass(frozen=True, slots=True)
class ClassLine:
    """One class: how many of the fruit looked at, the share they are and its range."""

    name: str
    fruit: int
    said: Said


@dataclass(frozen=True, slots=True)
class LookLine:
    """A quick look as it is read."""

    id: int
    consignment_id: int
    looked: int
    fruit: int
    answer: str
    classes: tuple[ClassLine, ...]
    faults: tuple[tuple[str, int], ...]
    each: tuple[str, ...]
    gross: str
    tare: str
    net: str
    mean: str
    looked_at: datetime
    looked_by: Doer
    voided: Voided | None

    @property
    def is_done(self) -> bool:
        """Whether all fruit of the tray were looked at."""
        return self.looked >= self.fruit

    @property
    def likely(self) -> str:
        """The best class with its range, for one line: "Class I 75 % (36 to 97 %)"; "" without a fruit."""
        return f"{self.classes[0].name} {self.classes[0].said.both}" if self.looked else ""

    @property
    def fault_words(self) -> str:
        """The faults with their numbers: "sap stain 6, russet 2"."""
        return ", ".join(f"{name} {count}" for name, count in self.faults)


def look_line(look: Look, spec: Spec) -> LookLine:
    """A quick look in words, under the spec its consignment came in under."""
    row, looked = look.row, len(look.fruit)
    counts = Counter(each.class_id for each in look.fruit)
    classes = _classes(counts, spec, looked)
    return LookLine(
        id=look.id,
        consignment_id=row.consignment_id,
        looked=looked,
        fruit=row.fruit,
        answer=_answer(classes, looked),
        classes=classes,
        faults=_faults(look.fruit, spec),
        each=tuple(fruit_words(each, spec) for each in look.fruit),
        gross=say_mass(row.gross_g, 3, trim=True),
        tare="" if row.tare_g is None else say_mass(row.tare_g, 3, trim=True),
        net=say_mass(look.net_g, 3, trim=True),
        mean=say_weight(Fraction(look.net_g * DG_PER_G, row.fruit)),
        looked_at=row.looked_at,
        looked_by=look.looked_by,
        voided=look.voided,
    )


def look_lines(looks: Sequence[Look], spec: Spec) -> list[LookLine]:
    """Several of one consignment."""
    return [look_line(each, spec) for each in looks]


def standing_lines(looks: Sequence[Look], spec: Spec) -> list[LookLine]:
    """Those of one consignment that count and hold a fruit."""
    return [look_line(each, spec) for each in looks if each.fruit and each.voided is None]


def class_name(class_id: str, spec: Spec) -> str:
    """A class as it is called, "No class" for none."""
    return spec.grade_class(class_id).name if class_id else NO_CLASS


def kind_name(kind: str, spec: Spec) -> str:
    """A fault as it is called; "another reason" for none of the kinds."""
    return spec.crop.kind(kind).name if kind else OTHER_REASON


def fruit_words(fruit: QuickLookFruit, spec: Spec) -> str:
    """One fruit: "Class II, sap stain"; the best class needs no fault."""
    name = class_name(fruit.class_id, spec)
    return name if _is_best(fruit, spec) else f"{name}, {kind_name(fruit.kind, spec)}"


def _is_best(fruit: QuickLookFruit, spec: Spec) -> bool:
    return fruit.class_id == spec.classes[0].id


def _classes(counts: Counter[str], spec: Spec, looked: int) -> tuple[ClassLine, ...]:
    if not looked:
        return ()
    every = [*(each.id for each in spec.classes), ""]
    return tuple(
        ClassLine(class_name(each, spec), counts[each], ranges.share(of_one_tray(counts[each], looked)))
        for each in every
    )


def _answer(classes: tuple[ClassLine, ...], looked: int) -> str:
    return f"By eye: {classes[0].fruit} of {looked} {classes[0].name}" if looked else "By eye: no fruit looked at yet"


def _faults(fruit: Sequence[QuickLookFruit], spec: Spec) -> tuple[tuple[str, int], ...]:
    """The main faults of the fruit below the best class, the most frequent first."""
    counts = Counter(kind_name(each.kind, spec) for each in fruit if not _is_best(each, spec))
    return tuple(counts.most_common())
