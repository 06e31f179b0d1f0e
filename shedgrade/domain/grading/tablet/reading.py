"""What the fields of a fruit are read by at the bench, written for the tablet: ``fruit_entry.FruitReader`` in data."""

from collections.abc import Callable, Mapping
from fractions import Fraction

from shedgrade.domain import entry
from shedgrade.domain.crop import Crop, CropMeasure, TakenOn
from shedgrade.domain.entry.amounts import OF_AREA, OF_LENGTH, OF_SHARE
from shedgrade.domain.entry.errors import EntryError
from shedgrade.domain.entry.figures import UNITS_OF, kept_in
from shedgrade.domain.entry.scale import vocabulary
from shedgrade.domain.entry.weight import OF_A_FRUIT
from shedgrade.domain.fruit_entry import MOST_PLACES
from shedgrade.domain.grading.plan import high_end, low_end
from shedgrade.domain.grading.tablet.plain import Plain, ends, pair
from shedgrade.domain.spec.asked import asked
from shedgrade.domain.spec.model import Spec


def reading_of(spec: Spec) -> Plain:
    """By field what is accepted, in units and in words; the kinds of the crop in order, and how each is measured."""
    crop = spec.crop
    return {
        "fruit": crop.name,
        "weight": _weight(crop),
        "stage": _stage(spec),
        "kinds": [{"id": kind.id, "measure": kind.measure.value} for kind in crop.kinds],
        "states_of": list(asked(spec).states),
        "area": {"units": _units(OF_AREA)},
        "share": {"units": _units(OF_SHARE), "accepted": _accepted(entry.share)},
        "length": {"units": _units(OF_LENGTH), "accepted": _accepted(entry.length)},
        "places": {
            "most": MOST_PLACES,
            "accepted": _accepted(lambda text: entry.whole(text, least=1, most=MOST_PLACES)),
        },
        "measures": {each.id: _measure(each) for each in crop.measures if each.on is TakenOn.FRUIT},
        "scale": vocabulary(),
    }


def _weight(crop: Crop) -> Plain:
    def read(text: str) -> int:
        return entry.weight(text, lightest_dg=crop.lightest_dg, heaviest_dg=crop.heaviest_dg, fruit_name="")

    return {
        "units": _units(OF_A_FRUIT),
        "lightest_dg": crop.lightest_dg,
        "heaviest_dg": crop.heaviest_dg,
        "accepted": _accepted(read),
    }


def _stage(spec: Spec) -> Plain:
    stages = sorted(stage.number for stage in spec.crop.stages)
    accepted = _accepted(lambda text: entry.stage(text, stages=stages)) if stages else ""
    return {"stages": stages, "needed": asked(spec).colour, "accepted": accepted}


def _measure(measure: CropMeasure) -> Plain:
    return {
        "units": _units(UNITS_OF[measure.unit]),
        "accepted": _accepted(lambda text: entry.figure(text, measure)),
        "kept": kept_in(measure.unit),
        "base": pair(measure.unit.base),
        **ends(low_end(measure.plausible), high_end(measure.plausible)),
    }


def _units(factors: Mapping[str, Fraction]) -> Plain:
    return {unit: pair(factor) for unit, factor in factors.items()}


def _accepted(read: Callable[[str], int]) -> str:
    """What a reader says it accepts: any of them refuses a field that was left empty."""
    try:
        read("")
    except EntryError as refusal:
        return refusal.accepted
    raise AssertionError("a reader took what was left empty")
