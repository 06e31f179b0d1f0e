"""The whole document that a tablet judges by."""

from collections.abc import Iterator

from shedgrade.domain.grading.facts import EIGHT_CUBES_PER_DG2, NOTHING_SAID, Load
from shedgrade.domain.grading.plan import DAY, DESTINATION, GROWN_IN, MARKETING, PRESENTATION, Plan, plan_for
from shedgrade.domain.grading.tablet.checks import Checks
from shedgrade.domain.grading.tablet.figures import figures_of, measures_of, sizes_of
from shedgrade.domain.grading.tablet.plain import Plain, pair
from shedgrade.domain.grading.tablet.reading import reading_of
from shedgrade.domain.grading.takes import VARIETY
from shedgrade.domain.spec.model import Outlet, Spec
from shedgrade.domain.spec.names import named
from shedgrade.domain.trays.counts import Misfit, TrayType
from shedgrade.domain.units import DG_PER_G

FORMAT = 1
"""Counts up when a tablet that was not loaded anew could no longer read the document."""


def rules_for_tablet(spec: Spec, sha256: str, load: Load = NOTHING_SAID, tray: TrayType | None = None) -> Plain:
    """What one fruit of a load is judged by, as plain JSON values without a float.

    ``sha256`` is the hash that the spec version is stored under; by it a tablet tells which rules it holds. Of figures
    that may pass 2**53 the larger ones are texts.
    """
    plan = plan_for(spec, load)
    return {
        "format": FORMAT,
        "spec": {"id": spec.id, "title": spec.title, "sha256": sha256},
        "classes": [{"id": each.id, "name": each.name} for each in spec.classes],
        "limits": [{"id": each.id, "name": each.name} for each in spec.limits],
        "names": dict(_names(plan)),
        "measures": measures_of(spec, load),
        "figures": figures_of(plan),
        **Checks(plan).written(),
        "severities": list(plan.severities),
        "sizes": sizes_of(plan),
        "outlets": [_outlet(each) for each in spec.outlets],
        "tray": None if tray is None else _tray(tray),
        "surface": pair(EIGHT_CUBES_PER_DG2),
        "reading": reading_of(spec),
    }


def _names(plan: Plan) -> Iterator[tuple[str, str]]:
    """Everything that may have to be named and is not called as it is written."""
    asked = [VARIETY, DAY, MARKETING, DESTINATION, GROWN_IN, PRESENTATION]
    for name in (*sorted(plan.kinds), *sorted(plan.measures), *asked):
        if named(plan.spec, name) != name:
            yield name, named(plan.spec, name)


def _outlet(outlet: Outlet) -> Plain:
    return {
        "id": outlet.id,
        "name": outlet.name,
        "packed": outlet.packed,
        "takes": list(outlet.takes),
        "goes": f"goes to {outlet.name.lower()}",
    }


def _tray(tray: TrayType) -> Plain:
    return {
        "net_dg": tray.net_g * DG_PER_G,
        "counts": list(tray.counts),
        "heaviest_dg": tray.heaviest_dg,
        "misfits": {each.value: each.says for each in Misfit},
    }
