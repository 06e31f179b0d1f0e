"""What a spec asks of the tests of a whole load, and how the means stand to it. The mean decides; whether it is so near
that nobody can tell for sure is said beside it."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from shedgrade.domain.bound import Bound, say
from shedgrade.domain.crop import CropMeasure
from shedgrade.domain.grading import words
from shedgrade.domain.grading.facts import Load, MaturityFigure
from shedgrade.domain.grading.plan import Check, Plan, plan_for
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed


@dataclass(frozen=True, slots=True)
class LoadLimit:
    """A figure asked of the mean of a test, of these classes by name, and the test. ``one_of_several``: another way to
    hold the same limit would do as well."""

    limit_name: str
    classes: tuple[str, ...]
    measure: CropMeasure
    asked: Bound
    test: MaturityFigure
    one_of_several: bool

    @property
    def holds(self) -> bool:
        """The answer of the rule: by the mean alone."""
        return self.asked.allows(self.test.mean)

    @property
    def close(self) -> bool:
        """Whether the range reaches to both sides of what is asked."""
        return self.test.close_to(self.asked)

    def says(self) -> str:
        """The mean and what is asked: "dry matter 14.9 % (mean of 10 fruit, likely 13.8 % to 16 %); at least 15 % is
        asked of every class"."""
        unit = self.measure.unit
        mean = f"{say(self.test.mean, unit)} ({words.of_mean(self.test, unit)})"
        several = ", unless another way holds" if self.one_of_several else ""
        whom = listed(self.classes) or "every class"
        return f"{self.measure.name} {mean}; {self.asked.says()} is asked of {whom}{several}"


_Asked = tuple[str, MaturityFigure, Bound, bool]
"""The limit, the test, what is asked of it, and whether the limit has other ways."""


def load_limits(spec: Spec, load: Load) -> tuple[LoadLimit, ...]:
    """Every figure that the spec asks of a mean that was tested, each once; rows that hang on the single fruit, or on
    what nobody said of the load, are left out."""
    plan = plan_for(spec, load)
    found: dict[_Asked, list[str]] = {}
    for grade_class in spec.classes:
        for key in _asked(plan, grade_class.id):
            found.setdefault(key, []).append(grade_class.name)
    return tuple(
        LoadLimit(
            limit_name=spec.limit(limit_id).name,
            classes=() if len(classes) == len(spec.classes) else tuple(classes),
            measure=spec.crop.measure(test.measure),
            asked=asked,
            test=test,
            one_of_several=several,
        )
        for (limit_id, test, asked, several), classes in found.items()
    )


def _asked(plan: Plan, class_id: str) -> Iterator[_Asked]:
    """What one class asks of the means that were tested."""
    for limit in plan.spec.limits:
        if limit.level is not Level.FRUIT:
            continue
        ruling = plan.ruling(limit, class_id, None)
        ways = ((ruling,),) if isinstance(ruling, Check) else () if ruling is None else ruling.ways
        for check in chain.from_iterable(ways):
            decides = not (check.switches or check.unsaid or check.row.to.is_any)
            test = plan.test(check.measure) if decides else None
            if test is not None:
                yield limit.id, test, check.row.to, len(ways) > 1
