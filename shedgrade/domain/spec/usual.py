"""How a figure is got where nobody says it: as what it is got from is measured."""

from collections.abc import Collection, Iterator
from copy import deepcopy
from typing import Any

from shedgrade.domain.crop import Crop, Measured
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.measure import COLOUR_STAGE, SIZE_CODE, WEIGHT, By, Take

Tree = dict[str, Any]

_MARKS = {
    frozenset({Measured.AREA}): By.AREA,
    frozenset({Measured.SHARE}): By.SHARE,
    frozenset({Measured.AREA, Measured.SHARE}): By.AREA,
    frozenset({Measured.LENGTH}): By.LENGTH,
}
_OTHERS = {frozenset({Measured.PLACES}): Take.PLACES, frozenset({Measured.PRESENT}): Take.PRESENT}


def with_usual(tree: Tree, crop: Crop) -> Tree:
    """The tree in which limits, their ways and severities say how their figure is got and by what marks are measured,
    where one of both is left out and only one makes sense: marks are added up, a figure is taken as it is."""
    made = deepcopy(tree)
    severities = [each.get("id") for each in made.get("severity", [])]
    for table, level in _tables(made):
        of = _listed(table.get("of"))
        measured = frozenset(kind.measure for kind in crop.kinds if kind.id in of)
        marks = len({kind.id for kind in crop.kinds} & set(of)) == len(set(of))
        take = Take.SPREAD if level == Level.PACKAGE else _take(of, measured, marks=marks, crop=crop, rated=severities)
        if "take" not in table and take is not None:
            table["take"] = take.value
        if "by" not in table and table.get("take") in (Take.SUM, Take.LARGEST) and marks and measured in _MARKS:
            table["by"] = _MARKS[measured].value
    return made


def _take(
    of: Collection[str], measured: frozenset[Measured], *, marks: bool, crop: Crop, rated: Collection[str]
) -> Take | None:
    """None where several ways make sense, or none does. Of nothing the figure itself: what is missing is only that."""
    if not of:
        return Take.VALUE
    if marks:
        return Take.SUM if measured in _MARKS else _OTHERS.get(measured)
    if len(of) > 1:
        return None
    figures = {WEIGHT, COLOUR_STAGE, *(each.id for each in crop.measures)}
    takes = {SIZE_CODE: Take.CODES} | dict.fromkeys(rated, Take.SEVERITY) | dict.fromkeys(figures, Take.VALUE)
    return takes.get(next(iter(of)))


def _tables(tree: Tree) -> Iterator[tuple[Tree, str]]:
    """Whatever gets a figure, each with the level it is asked at."""
    for limit in tree.get("limit", []):
        for table in (limit, *limit.get("or_else", [])):
            yield table, limit.get("level", "")
    for severity in tree.get("severity", []):
        yield severity, ""


def _listed(of: object) -> list[str]:
    return of if isinstance(of, list) else [] if of is None else [str(of)]
