"""What the parts of a spec file may speak of, gathered while the file is read from its top to its end."""

from collections.abc import Collection
from dataclasses import dataclass, field

from shedgrade.domain.bound import Unit
from shedgrade.domain.crop import Crop, CropMeasure, TakenOn
from shedgrade.domain.source import Source
from shedgrade.domain.spec.measure import COLOUR_STAGE, WEIGHT, Measure, Take


@dataclass(frozen=True, slots=True)
class Looked:
    """What a limit looks at, as far as it could be read, and the units its bounds may be written in."""

    measure: Measure
    units: Collection[Unit]


@dataclass(frozen=True, slots=True)
class Known:
    """The names known so far. ``crop`` None means that the crop itself is unknown, so that nothing of it can be
    checked; ``looked`` holds what the limits look at, by their ids."""

    crop: Crop | None
    source: Source
    classes: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    severities: tuple[str, ...] = ()
    looked: dict[str, Looked] = field(default_factory=dict)

    def measures(self, *on: TakenOn) -> dict[str, CropMeasure]:
        """The crop's measures by their ids, all or those taken on this."""
        crop_measures = self.crop.measures if self.crop else ()
        return {measure.id: measure for measure in crop_measures if not on or measure.on in on}

    def value(self, name: str) -> Looked | None:
        """The weight, the colour stage or a measure of the crop as something to look at; None if it is none."""
        measures = self.measures()
        if name in measures:
            unit = measures[name].unit
            measure = Measure((name,), Take.VALUE, crop_unit=unit)
        elif name in (WEIGHT, COLOUR_STAGE):
            measure = Measure((name,), Take.VALUE)
        else:
            return None
        return Looked(measure, measure.units)

    @property
    def value_names(self) -> tuple[str, ...]:
        """Every name that ``value`` knows."""
        return (WEIGHT, COLOUR_STAGE, *self.measures())
