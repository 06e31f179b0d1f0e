"""Many fruit of one load under one spec. Read ``grade_many`` first; ``one.grade`` is the same for a single fruit."""

from functools import reduce
from operator import add, or_
from typing import TYPE_CHECKING

from shedgrade.domain.grading.facts import NOTHING_SAID, Load
from shedgrade.domain.grading.many.columns import Columns
from shedgrade.domain.grading.many.deciding import Answers, judge
from shedgrade.domain.grading.many.graded import Graded
from shedgrade.domain.grading.many.sizes import MISFITS, counts_of, sizes_of
from shedgrade.domain.grading.many.tables import NONE, Groups, Rules, grouped
from shedgrade.domain.grading.many.whole import Different, blocks, places
from shedgrade.domain.grading.plan import Plan, plan_for
from shedgrade.domain.grading.takes import GradingError, Sizes
from shedgrade.domain.spec.model import NO_CLASS, Spec
from shedgrade.domain.trays.counts import TrayType

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bools, Ints


def grade_many(spec: Spec, columns: Columns, tray: TrayType | None = None, load: Load = NOTHING_SAID) -> Graded:
    """Judge many fruit of a load, each as ``one.grade`` would.

    The size code on a pack counts where the fruit bears it out (``one.borne_out``). Raises GradingError for a kind or
    measure the crop does not know.
    """
    plan = plan_for(spec, load)
    _refuse_unknown(plan, columns)
    weights = Different(columns.weight_dg)
    sizes, size = sizes_of(plan, columns, weights)
    groups = grouped(plan, columns, sizes, size)
    counts = None if tray is None else counts_of(tray, weights)
    found = _empty(plan, columns, tray, counts, (sizes, size, groups))
    if not len(columns):
        return found
    rules = Rules(groups.judging, len(spec.classes))
    for here in blocks(len(columns)):
        _Block(found, rules, here).judge()
    return found


def _refuse_unknown(plan: Plan, columns: Columns) -> None:
    for kind, marks in columns.marks.items():
        if kind not in plan.kinds and len(marks.rows):
            raise GradingError(f'the crop has no defect kind "{kind}"')
    for name in columns.measures:
        if name not in plan.measures:
            raise GradingError(f'the crop has no measure "{name}" of a fruit')


def _empty(
    plan: Plan,
    columns: Columns,
    tray: TrayType | None,
    counts: "Ints | None",
    sized: "tuple[tuple[Sizes, ...], Ints, Groups]",
) -> Graded:
    import numpy as np  # noqa: PLC0415

    spec, length = plan.spec, len(columns)
    sizes, size, groups = sized
    bits = -(-length // 8)
    return Graded(
        plan=plan,
        columns=columns,
        tray=tray,
        sizes=sizes,
        size=size,
        groups=groups,
        place=np.zeros(length, dtype=np.int8),
        judged_as=np.zeros(length, dtype=places(len(spec.scale.bands))),
        count=np.zeros(length, dtype=np.int8) if counts is None else counts,
        outlet=np.full(length, NONE, dtype=np.int8),
        broken_bits=np.zeros((len(spec.classes), len(spec.limits), bits), dtype=np.uint8),
        unsure_bits=np.zeros((len(spec.limits), bits), dtype=np.uint8),
        severities=np.full((len(spec.severities), length), NONE, dtype=np.int16),
        by_rank=np.full((len(groups.codes) if len(groups.codes) > 1 else 0, length), NONE, dtype=np.int8),
    )


class _Block:
    """A run of fruit on its way through the rules; what is found goes into the arrays of the whole."""

    def __init__(self, whole: Graded, rules: Rules, here: slice) -> None:
        self.whole = whole
        self.rules = rules
        self.here = here
        self.bits = slice(here.start // 8, -(-here.stop // 8))
        self.length = here.stop - here.start
        self.taking = whole.taking(here.start, here.stop)
        self.answers: list[Answers] = [judge(check, self.taking) for check in rules.checks]

    def judge(self) -> None:
        """Class and size, then what follows from them."""
        place, judged_by = self._best()
        self._reasons(place, judged_by)
        self._outlets(place)
        self._severities()

    def _places(self) -> "Ints":
        """The place of the class by each table (tables, length)."""
        import numpy as np  # noqa: PLC0415

        found = np.zeros((len(self.rules.others), self.length), dtype=np.int8)
        in_all = [self._any_broken(checks, np.zeros(self.length, dtype=bool)) for checks in self.rules.common]
        for place, classes in zip(found, self.rules.others, strict=True):
            missed_all: Bools | None = None
            for missed, checks in zip(in_all, classes, strict=True):
                missed_here = self._any_broken(checks, missed)
                missed_all = missed_here if missed_all is None else missed_all & missed_here
                np.add(place, missed_all, out=place)
        return found

    def _any_broken(self, checks: list[int], missed: "Bools") -> "Bools":
        """Where one of the checks is broken, or the class missed already."""
        for number in checks:
            broken = self.answers[number].broken
            if broken is not None:
                missed = missed | broken
        return missed

    def _best(self) -> "tuple[Ints, list[Bools]]":
        """The class of each fruit, and for each table where it is the one that judged: that of the code on the pack,
        else of the first code that gives the best class."""
        import numpy as np  # noqa: PLC0415

        whole, groups = self.whole, self.whole.groups
        group, places = groups.of[self.here], self._places()
        table, code = groups.tables[0].take(group), groups.codes[0].take(group)
        best = _by_table(places, table)
        if len(groups.tables) > 1:
            whole.by_rank[0, self.here] = best
        for rank in range(1, len(groups.tables)):
            by = groups.tables[rank].take(group)
            place = whole.by_rank[rank, self.here] = np.where(by == NONE, NONE, _by_table(places, by))
            forced = groups.forced.take(group)
            better = (by != NONE) & np.where(forced == NONE, place < best, forced == rank)
            best, table = np.where(better, place, best), np.where(better, by, table)
            code = np.where(better, groups.codes[rank].take(group), code)
        whole.place[self.here], whole.judged_as[self.here] = best, code
        return best, [table == number for number in range(len(places))]

    def _reasons(self, place: "Ints", judged_by: "list[Bools]") -> None:
        """What a fruit breaks of the classes it missed, and what is not judged of its own."""
        import numpy as np  # noqa: PLC0415

        whole = self.whole
        for number, uses in enumerate(self.rules.uses):
            missed, made = place > number, place == number
            for check, limit, tables in uses:
                broken, unsure = self.answers[check]
                asked = [judged_by[each] for each in tables]
                if broken is not None:
                    whole.broken_bits[number, limit, self.bits] |= np.packbits(_within(broken & missed, asked))
                if unsure is not None:
                    whole.unsure_bits[limit, self.bits] |= np.packbits(_within(unsure & made, asked))

    def _outlets(self, place: "Ints") -> None:
        """Where fruit go: by the limits every class broke, or by the misfit with the tray."""
        import numpy as np  # noqa: PLC0415

        whole, spec = self.whole, self.whole.plan.spec
        outlet, count = whole.outlet[self.here], whole.count[self.here]
        out = place == len(spec.classes)
        count *= ~out
        if whole.tray is not None:
            for number, misfit in MISFITS.items():
                _put(outlet, count == number, spec.outlets.index(spec.outlet_for(frozenset([misfit.value]))))
        _put(outlet, out, spec.outlets.index(spec.outlet_for(frozenset([NO_CLASS]))))
        numbers = {limit.id: number for number, limit in enumerate(spec.limits)}
        for number, each in reversed(list(enumerate(spec.outlets))):
            for limit_id in numbers.keys() & each.takes:
                everywhere = np.bitwise_and.reduce(whole.broken_bits[:, numbers[limit_id], self.bits])
                _put(outlet, np.unpackbits(everywhere, count=self.length).view(bool), number)

    def _severities(self) -> None:
        for number, place in enumerate(self.whole.plan.severities):
            figures = self.taking[place]
            steps = self.whole.severities[number]
            steps[self.here] = figures.num
            if figures.extent is not None:
                steps[self.here][figures.extent != 0] = NONE


def _by_table(places: "Ints", table: "Ints") -> "Ints":
    """Out of the places by each table, those by one for each fruit: multiplied, which takes a tenth of a choice."""
    return reduce(add, [place * (table == number) for number, place in enumerate(places)])


def _within(found: "Bools", judged_by: "list[Bools]") -> "Bools":
    """What was found of the fruit that these tables judge; none named: of all."""
    return found & reduce(or_, judged_by) if judged_by else found


def _put(here: "Ints", chosen: "Bools", value: int) -> None:
    """A value where it is chosen, likewise."""
    here += (value - here) * chosen.view("int8")
