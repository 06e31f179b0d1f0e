"""Size codes and counts of many fruit: each different figure is looked up once, by what looks it up for one fruit."""

from fractions import Fraction
from typing import TYPE_CHECKING

from shedgrade.domain.grading.many.columns import Columns
from shedgrade.domain.grading.many.figures import raw
from shedgrade.domain.grading.many.whole import by_value
from shedgrade.domain.grading.plan import Plan
from shedgrade.domain.grading.takes import Sizes
from shedgrade.domain.trays.counts import Misfit, TrayType, count_for

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Ints

TOO_LIGHT, TOO_HEAVY = -1, -2
"""Stand in a column of counts for fruit that do not fit the tray."""
_MISFITS = {Misfit.TOO_LIGHT: TOO_LIGHT, Misfit.TOO_HEAVY: TOO_HEAVY}


def sizes_of(plan: Plan, columns: Columns) -> "tuple[tuple[Sizes, ...], Ints]":
    """The different answers of the size table, and for each fruit (n,) the place of its own."""
    found: dict[Sizes, int] = {}

    def place(sizes: Sizes) -> int:
        return found.setdefault(sizes, len(found))

    num, den, taken = raw(plan.spec.scale.of, plan, columns)
    sizer = plan.sizer

    def look_up(num: int) -> int:
        return place(sizer.sizes_of(num if den == 1 else Fraction(num, den)))

    if taken is None:
        size = by_value(num, look_up)
    else:
        size = num * 0 + place(sizer.sizes_of(None))
        size[taken] = by_value(num[taken], look_up)
    return tuple(found), size


def counts_of(tray: TrayType, columns: Columns) -> "Ints":
    """The count of each fruit on the tray (n,), or TOO_LIGHT or TOO_HEAVY."""

    def count(weight_dg: int) -> int:
        result = count_for(tray, weight_dg)
        return _MISFITS[result.misfit] if result.misfit is not None else result.count or 0

    return by_value(columns.weight_dg, count)
