"""Where a spec of the shed's own begins: the least that is a whole spec, and an id of its own."""

from collections.abc import Collection
from dataclasses import replace

from shedgrade.domain.crop import Crop
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.limit import Limit, Row
from shedgrade.domain.spec.measure import WEIGHT, Measure, Take
from shedgrade.domain.spec.model import NO_CLASS, GradeClass, Outlet, Spec
from shedgrade.domain.spec.renaming import id_from
from shedgrade.domain.spec.scale import Rounding, Scale

FIRST_EDITION = "1"


def begun(crop: Crop, title: str, taken: Collection[str]) -> Spec:
    """One class, the weights that are plausible for the crop, and one outlet for the rest."""
    source = Source(title, FIRST_EDITION, "", Mark.COMMON_PRACTICE, "a spec of the shed's own")
    plain = source.below()
    weight = Limit("weight", "weight", Measure((WEIGHT,), Take.VALUE), (Row(crop.plausible, plain),), plain)
    return Spec(
        id=own_id(title, taken),
        title=title,
        crop=crop,
        edition=FIRST_EDITION,
        classes=(GradeClass("I", "Class I"),),
        scale=Scale((), Rounding.NONE, plain),
        limits=(weight,),
        outlets=(Outlet("rest", "What makes no class", packed=False, takes=(NO_CLASS,), source=plain),),
        source=source,
    )


def own_copy(spec: Spec, title: str, edition: str, taken: Collection[str]) -> Spec:
    """The same rules as a spec of the shed's own, in an edition of its own, "" for the first; every source stays where
    it is."""
    return replace(spec, id=own_id(title, taken), title=title, edition=edition or FIRST_EDITION)


def own_id(title: str, taken: Collection[str]) -> str:
    """The title in lower-case letters, figures and hyphens, with a number behind it where another spec has that id."""
    return id_from(title, taken) or id_from("spec", taken)
