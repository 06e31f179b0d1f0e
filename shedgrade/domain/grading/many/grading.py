"""Many fruit of one load under one spec. Read ``grade_many`` first; ``one.grade`` is the same for a single fruit."""

from functools import reduce
from itertools import accumulate
from operator import add, and_, or_
from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain.grading.facts import NOTHING_SAID, Load
from shedgrade.domain.grading.many.columns import Columns
from shedgrade.domain.grading.many.deciding import Answers, judge
from shedgrade.domain.grading.many.graded import Graded
from shedgrade.domain.grading.many.sizes import MISFITS, counts_of, sizes_of
from shedgrade.domain.grading.many.tables import NONE, Groups, Rules, grouped
from shedgrade.domain.grading.many.whole import Different, block_by_block, holding, look_up
from shedgrade.domain.grading.plan import Plan, plan_for
from shedgrade.domain.grading.takes import GradingError, Sizes
from shedgrade.domain.spec.model import NO_CLASS, Spec
from shedgrade.domain.trays.counts import TrayType

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bits, Bools, Ints


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
    block_by_block(len(columns), lambda here: _Block(found, rules, here).judge())
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
        judged_as=np.zeros(length, dtype=holding(len(spec.scale.bands))),
        count=np.zeros(length, dtype=np.int8) if counts is None else counts,
        outlet=np.full(length, NONE, dtype=np.int8),
        broken_bits=np.zeros((len(spec.classes), len(spec.limits), bits), dtype=np.uint8),
        unsure_bits=np.zeros((len(spec.limits), bits), dtype=np.uint8),
        severities=np.full((len(spec.severities), length), NONE, dtype=np.int16),
        by_rank=np.full((len(groups.codes) if len(groups.codes) > 1 else 0, length), NONE, dtype=np.int8),
    )


class _Block:
    """A run of fruit on its way through the rules; what is found goes into the arrays of the whole.

    What is true or not of a fruit is kept as bits here, eight fruit a byte: they are combined far more often than made.
    """

    def __init__(self, whole: Graded, rules: Rules, here: slice) -> None:
        self.whole = whole
        self.rules = rules
        self.here = here
        self.bits = slice(here.start // 8, -(-here.stop // 8))
        self.length = here.stop - here.start
        self.taking = whole.taking(here.start, here.stop)
        self.answers = [_bits_of(judge(check, self.taking)) for check in rules.checks]

    def judge(self) -> None:
        """Class and size, then what follows from them."""
        missed, judged_by = self._best()
        self._reasons(missed, judged_by)
        self._outlets(missed[-1])
        self._severities()

    def _best(self) -> "tuple[list[Bits], list[Bits]]":
        """For each class the fruit that miss it and all better ones, and for each table those that it judges: by the
        code on the pack, else by the first code that gives the best class."""
        missed = self._missed()
        table, code = self._by_first_code()
        if len(self.whole.groups.tables) > 1:
            table, code = self._by_best_code(missed, table, code)
        judged_by = [_packed(table == number) for number in range(len(missed))]
        of_own = [reduce(or_, map(and_, judged_by, of_class)) for of_class in zip(*missed, strict=True)]
        self.whole.place[self.here] = self._places(of_own)
        self.whole.judged_as[self.here] = code
        return of_own, judged_by

    def _missed(self) -> "list[list[Bits]]":
        """For each table and class the fruit that would miss the class and all better ones."""
        none = _packed_none(self.length)
        in_all = [self._any_broken(checks, none) for checks in self.rules.common]
        by_table = (
            [self._any_broken(checks, broken) for broken, checks in zip(in_all, classes, strict=True)]
            for classes in self.rules.others
        )
        return [list(accumulate(each, and_)) for each in by_table]

    def _any_broken(self, checks: list[int], missed: "Bits") -> "Bits":
        """Where one of the checks is broken, or the class missed already."""
        broken = (self.answers[number].broken for number in checks)
        return reduce(or_, (each for each in broken if each is not None), missed)

    def _places(self, missed: "list[Bits]") -> "Ints":
        """The place of the best class that is not missed."""
        return reduce(add, [self._each(of_class).view("int8") for of_class in missed])

    def _by_first_code(self) -> "tuple[Ints, Ints]":
        """The table and the code of each fruit by the first code of its group."""
        groups, group = self.whole.groups, self.whole.groups.of[self.here]
        return look_up(groups.tables[0], group), look_up(groups.codes[0], group)

    def _by_best_code(self, missed: "list[list[Bits]]", table: "Ints", code: "Ints") -> "tuple[Ints, Ints]":
        """The same by the code that counts, where fruit have several."""
        import numpy as np  # noqa: PLC0415

        whole, groups = self.whole, self.whole.groups
        group = groups.of[self.here]
        forced = look_up(groups.forced, group)
        places = np.stack([self._places(of_table) for of_table in missed])
        fruit = np.arange(self.length)
        best = whole.by_rank[0, self.here] = places[table, fruit]
        for rank in range(1, len(groups.tables)):
            by = look_up(groups.tables[rank], group)
            place = whole.by_rank[rank, self.here] = np.where(by == NONE, NONE, places[by, fruit])
            better = (by != NONE) & np.where(forced == NONE, place < best, forced == rank)
            best, table = np.where(better, place, best), np.where(better, by, table)
            code = np.where(better, look_up(groups.codes[rank], group), code)
        return table, code

    def _reasons(self, missed: "list[Bits]", judged_by: "list[Bits]") -> None:
        """What a fruit breaks of the classes it missed, and what is not judged of its own."""
        whole = self.whole
        better = [_packed_all(self.length), *missed]
        for number, uses in enumerate(self.rules.uses):
            made = better[number] & ~missed[number]
            for check, limit, tables in uses:
                broken, unsure = self.answers[check]
                asked = [judged_by[each] for each in tables]
                if broken is not None:
                    whole.broken_bits[number, limit, self.bits] |= _within(broken & missed[number], asked)
                if unsure is not None:
                    whole.unsure_bits[limit, self.bits] |= _within(unsure & made, asked)

    def _outlets(self, out: "Bits") -> None:
        """Where fruit go: by the limits every class broke, or by the misfit with the tray."""
        import numpy as np  # noqa: PLC0415

        whole, spec = self.whole, self.whole.plan.spec
        outlet, count = whole.outlet[self.here], whole.count[self.here]
        without_class = self._each(out)
        count *= ~without_class
        if whole.tray is not None:
            for number, misfit in MISFITS.items():
                _put(outlet, count == number, spec.outlets.index(spec.outlet_for(frozenset([misfit.value]))))
        _put(outlet, without_class, spec.outlets.index(spec.outlet_for(frozenset([NO_CLASS]))))
        numbers = {limit.id: number for number, limit in enumerate(spec.limits)}
        for number, each in reversed(list(enumerate(spec.outlets))):
            for limit_id in numbers.keys() & each.takes:
                everywhere = np.bitwise_and.reduce(whole.broken_bits[:, numbers[limit_id], self.bits])
                _put(outlet, self._each(everywhere), number)

    def _severities(self) -> None:
        for number, place in enumerate(self.whole.plan.severities):
            figures = self.taking[place]
            steps = self.whole.severities[number]
            steps[self.here] = figures.num
            if figures.extent is not None:
                steps[self.here][figures.extent != 0] = NONE

    def _each(self, bits: "Bits") -> "Bools":
        """Fruit by fruit what the bits say."""
        import numpy as np  # noqa: PLC0415

        return np.unpackbits(bits, count=self.length).view(bool)


class _Bits(NamedTuple):
    """``Answers`` as bits."""

    broken: "Bits | None"
    unsure: "Bits | None"


def _bits_of(answers: Answers) -> _Bits:
    return _Bits(*(None if each is None else _packed(each) for each in answers))


def _packed(each: "Bools") -> "Bits":
    import numpy as np  # noqa: PLC0415

    return np.packbits(each)


def _packed_none(length: int) -> "Bits":
    import numpy as np  # noqa: PLC0415

    return np.zeros(-(-length // 8), dtype=np.uint8)


def _packed_all(length: int) -> "Bits":
    return ~_packed_none(length)


def _within(found: "Bits", judged_by: "list[Bits]") -> "Bits":
    """What was found of the fruit that these tables judge; none named: of all."""
    return found & reduce(or_, judged_by) if judged_by else found


def _put(here: "Ints", chosen: "Bools", value: int) -> None:
    """A value where it is chosen: multiplied, which takes a tenth of a choice."""
    here += (value - here) * chosen.view("int8")
