"""The three answers of a check, one sentence each, every figure with what it is held against."""

from fractions import Fraction

from shedgrade.domain.spec.names import listed
from shedgrade.domain.trays.net_weight.check import Average, Held, LabelCheck
from shedgrade.domain.trays.net_weight.label import LabelledBy
from shedgrade.domain.trays.net_weight.rules import AveragePlan, ShortPlan
from shedgrade.domain.trays.net_weight.words import say_from_memory, t_sources
from shedgrade.domain.units import digits

_FEW = 6
_MOST_PLACES = 4


def say_check(check: LabelCheck) -> tuple[str, str, str]:
    """The three answers, each by itself: average, how many are short, any far too short."""
    return say_average(check), say_short(check), say_single(check)


def say_average(check: LabelCheck) -> str:
    """The mean error and what it is allowed to be: "Average holds: 12 trays are on average 21.7 g over the label."."""
    average, plan = check.average, check.rules.average
    found = _on_average(check, average)
    if average.held is Held.NOT_KNOWN:
        return f"Average: {_no_plan(check, plan)}.{_so_far(found)}"
    memory = say_from_memory(("the plan", plan.source), ("the test", plan.form_source))
    if average.held is Held.NOT_ENOUGH:
        return f"Average: {_not_enough(check, average.taken, average.needed)}.{_so_far(found)}{memory}"
    return f"Average {average.held}: {found}{_allowed(check, average)}.{memory}"


def say_short(check: LabelCheck) -> str:
    """How many are, and how many may be: "… holds: 1 of 12 trays is short by more than 105 g (tray 6), 1 may be."."""
    short, plan = check.short, check.rules.short
    if short.t is None:
        return _no_t("Short by more than T", check)
    found = _found(check, short.found, short.taken, short.t)
    t_from = t_sources(check.rules, check.label.by)
    if short.held is Held.NOT_KNOWN:
        return f"Short by more than T: {_no_plan(check, plan)}.{_so_far(found)}{say_from_memory(*t_from)}"
    memory = say_from_memory(("the plan", plan.source), *t_from)
    permitted = f", {digits(short.permitted or 0) if short.permitted else 'none'} may be"
    if short.held is Held.NOT_ENOUGH:
        late = f"{permitted}: weighing on cannot make that good" if short.already_too_many else ""
        few = _not_enough(check, short.taken, short.needed)
        return f"Short by more than T: {few}.{_so_far(found + late)}{memory}"
    return f"Short by more than T {short.held}: {found}{permitted}.{memory}"


def say_single(check: LabelCheck) -> str:
    """Whether any is, which is final: "… fails: 1 of 12 trays is short by more than 210 g (tray 3), none may be. …"."""
    single = check.single
    name = "Short by more than 2 × T"
    if single.twice is None:
        return _no_t(name, check)
    found = _found(check, single.found, single.taken, single.twice)
    memory = say_from_memory(("the rule", check.rules.twice), *t_sources(check.rules, check.label.by))
    if single.held is Held.NOT_KNOWN:
        return f"{name}: {_no_plan(check, check.rules.short)}.{_so_far(found)}{memory}"
    if single.held is Held.NOT_ENOUGH:
        return f"{name}: {_not_enough(check, single.taken, single.needed)}.{_so_far(found)}{memory}"
    if single.held is Held.FAILS:
        found += ", none may be. Such a tray must not leave as it is: fill it up, or label it anew"
    return f"{name} {single.held}: {found}.{memory}"


def _on_average(check: LabelCheck, average: Average) -> str:
    """The mean error of the trays that count; empty where nothing was weighed."""
    mean = average.mean_error
    if mean is None:
        return ""
    trays = f"{_trays(average.taken)} {'is' if average.taken == 1 else 'are'} on average"
    if not mean:
        return f"{trays} just at the label"
    return f"{trays} {check.label.say(abs(mean), _places(average))} {'over' if mean > 0 else 'under'} the label"


def _allowed(check: LabelCheck, average: Average) -> str:
    """How far under is allowed; nothing where the mean is not under."""
    if average.mean_error is None or average.mean_error >= 0:
        return ""
    if not average.factor:
        return ", with all weighed it may not be under"
    places = _places(average)
    return (
        f"; for so many that differ so, up to {check.label.say(average.allowance(places), places)} under is allowed "
        f"(factor {digits(average.factor, _MOST_PLACES, trim=True)}, s {check.label.say(average.s())})"
    )


def _places(average: Average) -> int:
    """As many decimals as it takes to tell the mean from what is allowed."""
    mean = abs(average.mean_error or Fraction(0))
    told = (each for each in range(1, _MOST_PLACES) if digits(mean, each) != digits(average.allowance(each), each))
    return next(told, _MOST_PLACES)


def _not_enough(check: LabelCheck, taken: int, needed: int | None) -> str:
    asked = f"{digits(needed or 0)} trays that {check.rules.name} asks for of a lot of {digits(check.lot)}"
    return f"{Held.NOT_ENOUGH}, {digits(taken)} of the {asked}"


def _no_plan(check: LabelCheck, plan: AveragePlan | ShortPlan) -> str:
    if not plan.rows:
        return f"{Held.NOT_KNOWN}, the plan of {check.rules.name} is not given here ({plan.source.note})"
    begins = f"its plan begins at lots of {digits(plan.rows[0].least)}"
    return f"{Held.NOT_KNOWN}, {check.rules.name} has no plan for a lot of {digits(check.lot)}: {begins}"


def _no_t(name: str, check: LabelCheck) -> str:
    by_count = check.label.by is LabelledBy.COUNT
    source = check.rules.counts.source if by_count else check.rules.deficiency.source
    said = f"{name}: {Held.NOT_KNOWN}, {check.rules.name} gives no T here for a label of {check.label.says()}"
    return f"{said} ({source.note})." if source.note else f"{said}."


def _so_far(found: str) -> str:
    return f" So far {found}." if found else ""


def _found(check: LabelCheck, found: tuple[int, ...], taken: int, amount: Fraction) -> str:
    """How many are short by more than an amount, a few of them by the number at which they were weighed; empty where
    nothing was weighed."""
    if not taken:
        return ""
    how_many = digits(len(found)) if found else "none"
    by = f" by more than {check.label.say(amount, 3)}" if amount else ""
    said = f"{how_many} of {_trays(taken)} {'are' if len(found) > 1 else 'is'} short{by}"
    if not found:
        return said
    more = [f"{digits(len(found) - _FEW)} more"] if len(found) > _FEW else []
    numbers = [digits(place + 1) for place in found[:_FEW]]
    return f"{said} (tray{'' if len(found) == 1 else 's'} {listed([*numbers, *more])})"


def _trays(number: int) -> str:
    return f"{digits(number)} tray{'' if number == 1 else 's'}"
