"""A crop: the kind of fruit, its defect kinds and how each is measured, its colour stages, its weights."""

from dataclasses import dataclass
from enum import StrEnum

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Source


class Measured(StrEnum):
    """How a defect kind is measured at the bench."""

    AREA = "area"
    SHARE = "share"
    PRESENT = "present"

    @property
    def says(self) -> str:
        """The measuring as a person reads it."""
        return {"area": "by area, cm²", "share": "by share of the surface, %", "present": "there or not"}[self]


@dataclass(frozen=True, slots=True)
class DefectKind:
    """One kind of fault of the fruit; ``group`` is where it comes from (field, harvest, rot ...)."""

    id: str
    name: str
    group: str
    measure: Measured
    source: Source

    @property
    def note(self) -> str:
        """What belongs to the kind and what does not, in a few words; may be empty."""
        return self.source.note


@dataclass(frozen=True, slots=True)
class ColourStage:
    """One step on the fruit's colour scale."""

    number: int
    name: str
    description: str
    source: Source


@dataclass(frozen=True, slots=True)
class Crop:
    """What is known of a fruit apart from any spec, so that the same fruit can be judged under any spec of it.

    ``plausible`` bounds the weight of one fruit in decigrams: a weight outside it is a slip of the hand.
    """

    id: str
    name: str
    kinds: tuple[DefectKind, ...]
    stages: tuple[ColourStage, ...]
    plausible: Bound
    varieties: tuple[str, ...]
    source: Source

    def kind(self, kind_id: str) -> DefectKind:
        """The defect kind of that id; KeyError when the crop has none."""
        for kind in self.kinds:
            if kind.id == kind_id:
                return kind
        raise KeyError(kind_id)

    def stage(self, number: int) -> ColourStage:
        """The colour stage of that number; KeyError when the crop has none."""
        for stage in self.stages:
            if stage.number == number:
                return stage
        raise KeyError(number)

    @property
    def groups(self) -> tuple[str, ...]:
        """The groups of the defect kinds, each once, in file order."""
        return tuple(dict.fromkeys(kind.group for kind in self.kinds))

    @property
    def lightest_dg(self) -> int:
        """The least plausible weight of one fruit."""
        return self.plausible.whole()[0] or 1

    @property
    def heaviest_dg(self) -> int | None:
        """The greatest plausible weight of one fruit, None when the crop names none."""
        return self.plausible.whole()[1]
