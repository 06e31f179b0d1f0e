"""What would be accepted in a spec file in place of a text that is no bound there, and what sort of mistake it is."""

from collections.abc import Collection
from dataclasses import replace

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.entry.bounds import BoundError, Wanted, read_bound
from shedgrade.domain.spec.mistakes import Wrong

_EXAMPLES = {
    Unit.GRAM: ">= 100 g",
    Unit.CM2: "<= 4 cm2",
    Unit.PERCENT: "<= 10 %",
    Unit.MM: "<= 10 mm",
    Unit.BRIX: ">= 6.2 Brix",
    Unit.CIRCLES: "<= 2 circles of 6 mm",
    Unit.NUMBER: ">= 3",
}
_SIGNS = 'a comparator first: "<=" for at most, ">=" for at least, "<" for under, ">" for over'
_NAMED = {Unit.NUMBER: "a plain number", Unit.CIRCLES: "circles"}


def figures_in(units: Collection[Unit]) -> str:
    """The bounds that fit a measure with these units, its own first, each unit with an example."""
    ordered = sorted(units, key=lambda unit: unit is Unit.NUMBER)
    named = " or ".join(_NAMED.get(unit, f'"{unit}"') for unit in ordered)
    share = {Unit.NUMBER: ">= 1/3"} if is_share(units) else {}
    examples = " or ".join(f'"{(_EXAMPLES | share)[unit]}"' for unit in ordered)
    return f'a comparator and a figure in {named}, such as {examples}; or "nil" or "any"'


def is_share(units: Collection[Unit]) -> bool:
    """Whether a measure with these units, its own first, is a share of one."""
    return next(iter(units), None) is Unit.PERCENT


def exceeds_whole(bound: Bound) -> bool:
    """Whether an end of a share lies over the whole."""
    return any(end is not None and end > 1 for end in (bound.low, bound.high))


def instead_of(text: str, wanted: Wanted) -> tuple[str, Wrong]:
    """What would be accepted instead of a text that is not written as a bound is, and what is wrong with it. Where a
    text has no sign, it means something else by how a figure by itself is read."""
    meant = _meant(text, wanted)
    accepted = _asked(meant) + figures_in(wanted.units)
    if not meant:
        return accepted, Wrong.UNREADABLE
    if meant == _meant(text, replace(wanted, at_most=not wanted.at_most)):
        return accepted, Wrong.MISWRITTEN
    return f"{_SIGNS}; {accepted}", Wrong.NO_COMPARATOR


def too_much(text: str, wanted: Wanted) -> tuple[str, Wrong]:
    """The same instead of more than the whole: the figure in per cent, where that was meant."""
    return f"{_asked(_meant(text, wanted))}a share of at most 100 %", Wrong.TOO_MUCH


def _asked(meant: tuple[Bound, ...]) -> str:
    listed = " or ".join(f'"{bound.text()}"' for bound in meant)
    return f"did you mean {listed}? " if meant else ""


def _meant(text: str, wanted: Wanted) -> tuple[Bound, ...]:
    """The bounds that a person may mean by the text."""
    try:
        return (read_bound(text, wanted),)
    except BoundError as refused:
        return refused.bounds
