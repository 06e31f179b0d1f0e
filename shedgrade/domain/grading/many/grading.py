"""Many fruit of one load under one spec. Read ``grade_many`` first; ``one.grade`` is the same for a single fruit."""

from typing import TYPE_CHECKING

from shedgrade.domain.grading.facts import NOTHING_SAID, Load
from shedgrade.domain.grading.many.columns import Columns
from shedgrade.domain.grading.many.deciding import Answers, judge
from shedgrade.domain.grading.many.graded import Graded
from shedgrade.domain.grading.many.sizes import TOO_HEAVY, TOO_LIGHT, counts_of, sizes_of
from shedgrade.domain.grading.many.tables import NONE, Groups, Rules, grouped
from shedgrade.domain.grading.plan import Plan, plan_for
from shedgrade.domain.grading.takes import GradingError, Sizes
from shedgrade.domain.spec.model import NO_CLASS, Spec
from shedgrade.domain.spec.model import TOO_HEAVY as HEAVY
from shedgrade.domain.spec.model import TOO_LIGHT as LIGHT
from shedgrade.domain.trays.counts import TrayType

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bools, Ints

_BLOCK = 1 << 15
"""Fruit judged at a time, so that the arrays in hand stay in the processor's cache."""


def grade_many(spec: Spec, columns: Columns, tray: TrayType | None = None, load: Load = NOTHING_SAID) -> Graded:
    """Judge many fruit of a load, each as ``one.grade`` would.

    The size code on a pack counts where the fruit bears it out (``one.borne_out``). Raises GradingError for a kind or
    measure the crop does not know.
    """
    plan = plan_for(spec, load)
    _refuse_unknown(plan, columns)
    rules = Rules(plan)
    sizes, size = sizes_of(plan, columns)
    groups = grouped(plan, rules, columns, sizes, size)
    found = _empty(plan, columns, tray, sizes, size, groups)
    for first in range(0, len(columns), _BLOCK):
        last = min(first + _BLOCK, len(columns))
        _Block(found, rules, first, last).judge()
    return found


def _refuse_unknown(plan: Plan, columns: Columns) -> None:
    for kind, marks in columns.marks.items():
        if kind not in plan.kinds and len(marks.rows):
            raise GradingError(f'the crop has no defect kind "{kind}"')
    for name in columns.measures:
        if name not in plan.measures:
            raise GradingError(f'the crop has no measure "{name}" of a fruit')


def _empty(
    plan: Plan, columns: Columns, tray: TrayType | None, sizes: tuple[Sizes, ...], size: "Ints", groups: Groups
) -> Graded:
    import numpy as np  # noqa: PLC0415

    spec, length = plan.spec, len(columns)
    return Graded(
        plan=plan,
        columns=columns,
        tray=tray,
        sizes=sizes,
        size=size,
        groups=groups,
        place=np.zeros(length, dtype=np.int64),
        judged_as=np.full(length, NONE),
        count=np.zeros(length, dtype=int) if tray is None else counts_of(tray, columns),
        outlet=np.full(length, NONE),
        broken=np.zeros((len(spec.classes), len(spec.limits), length), dtype=bool),
        unsure=np.zeros((len(spec.limits), length), dtype=bool),
        severities=np.full((len(spec.severities), length), NONE),
        by_rank=np.full((len(groups.codes), length), NONE),
    )


class _Block:
    """A run of fruit on its way through the rules; what is found goes into the arrays of the whole."""

    def __init__(self, whole: Graded, rules: Rules, first: int, last: int) -> None:
        self.whole = whole
        self.rules = rules
        self.here = slice(first, last)
        self.length = last - first
        self.taking = whole.taking(first, last)
        self.answers: list[Answers] = [judge(check, self.taking) for check in rules.checks]

    def judge(self) -> None:
        """Class and size, then what follows from them."""
        place, table = self._best()
        self._reasons(place, table)
        self._outlets(place)
        self._severities()

    def _places(self) -> "Ints":
        """The place of the class by each table (tables, length)."""
        import numpy as np  # noqa: PLC0415

        found = np.zeros((len(self.rules.tables), self.length), dtype=np.int8)
        for place, classes in zip(found, self.rules.classes, strict=True):
            missed_all: Bools | None = None
            for checks in classes:
                missed = self._any_broken(checks)
                missed_all = missed if missed_all is None else missed_all & missed
                place += missed_all
        return found

    def _any_broken(self, checks: list[int]) -> "Bools":
        import numpy as np  # noqa: PLC0415

        missed = np.zeros(self.length, dtype=bool)
        for number in checks:
            broken = self.answers[number].broken
            if broken is not None:
                missed |= broken
        return missed

    def _best(self) -> "tuple[Ints, Ints]":
        """The class of each fruit and the table it was judged by: that of the code on the pack, else of the first code
        that gives the best class."""
        import numpy as np  # noqa: PLC0415

        groups, whole = self.whole.groups, self.whole
        group = groups.of[self.here]
        places, rows = self._places(), np.arange(self.length)
        best = table = code = None
        for rank, tables in enumerate(groups.tables):
            by = tables[group]
            place = places[by, rows]
            whole.by_rank[rank, self.here] = np.where(by == NONE, NONE, place)
            if best is None:
                best, table, code = place, by, groups.codes[rank][group]
                continue
            forced = groups.forced[group]
            better = (by != NONE) & np.where(forced == NONE, place < best, forced == rank)
            best, table = np.where(better, place, best), np.where(better, by, table)
            code = np.where(better, groups.codes[rank][group], code)
        whole.place[self.here], whole.judged_as[self.here] = best, code
        return best, table

    def _reasons(self, place: "Ints", table: "Ints") -> None:
        whole = self.whole
        for number, uses in enumerate(self.rules.uses):
            missed, made = place > number, place == number
            for check, limit, tables in uses:
                broken, unsure = self.answers[check]
                asked = True if tables is None else tables[table]
                if broken is not None:
                    whole.broken[number, limit, self.here] |= broken & missed & asked
                if unsure is not None:
                    whole.unsure[limit, self.here] |= unsure & made & asked

    def _outlets(self, place: "Ints") -> None:
        """Where fruit go: by the limits every class broke, or by the misfit with the tray."""
        import numpy as np  # noqa: PLC0415

        whole, spec = self.whole, self.whole.plan.spec
        outlet, count = whole.outlet[self.here], whole.count[self.here]
        out = place == len(spec.classes)
        count[out] = 0
        for misfit, word in ((TOO_LIGHT, LIGHT), (TOO_HEAVY, HEAVY)):
            if (count == misfit).any():
                outlet[count == misfit] = spec.outlets.index(spec.outlet_for(frozenset([word])))
        rows = np.flatnonzero(out)
        if not len(rows):
            return
        outlet[rows] = spec.outlets.index(spec.outlet_for(frozenset([NO_CLASS])))
        everywhere = {
            limit.id: whole.broken[:, number, self.here][:, rows].all(axis=0)
            for number, limit in enumerate(spec.limits)
        }
        for number, each in reversed(list(enumerate(spec.outlets))):
            for limit_id in everywhere.keys() & each.takes:
                outlet[rows[everywhere[limit_id]]] = number

    def _severities(self) -> None:
        for number, place in enumerate(self.whole.plan.severities):
            figures = self.taking[place]
            steps = self.whole.severities[number]
            steps[self.here] = figures.num
            if figures.extent is not None:
                steps[self.here][figures.extent != 0] = NONE
