"""Two changes of one spec put together, entry by entry, so that neither takes back what the other did.

All three are trees: what both began with, and what each made of it. Entries of lists belong together by what they are
about, as in :mod:`.comparing`. An entry without lists of its own (a row, a size, an outlet) is one thing: where both
changed it in different ways they clash, also where each changed another key of it, since a row is read as a whole.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shedgrade.domain.spec.comparing import keyed
from shedgrade.domain.spec.writing import Tree

_GONE = object()


@dataclass(frozen=True, slots=True)
class Merged:
    """Both changes in one tree: ``ours`` with our side where they clash, ``theirs`` with their side there."""

    ours: Tree
    theirs: Tree

    @property
    def clash(self) -> bool:
        """Whether both changed the same thing in different ways."""
        return self.ours != self.theirs


def merge(base: Tree, ours: Tree, theirs: Tree) -> Merged:
    """Our change and theirs of the same base."""
    return Merged(*_tables(base, ours, theirs))


def _sides(base: object, ours: object, theirs: object) -> tuple[object, object]:
    """What becomes of one thing, for our side and for theirs; the same unless they clash."""
    if theirs in (base, ours):
        return ours, ours
    if ours == base:
        return theirs, theirs
    every = (base, ours, theirs)
    if all(_is_list_of_tables(each) for each in every):
        return _lists(*(each if isinstance(each, list) else [] for each in every))
    if all(isinstance(each, dict) for each in every):
        return _tables(*(each if isinstance(each, dict) else {} for each in every))
    return ours, theirs


def _tables(base: Tree, ours: Tree, theirs: Tree) -> tuple[Tree, Tree]:
    sides = {
        key: _sides(*(each.get(key, _GONE) for each in (base, ours, theirs)))
        for key in dict.fromkeys([*base, *theirs, *ours])
    }
    one, other = ({key: side[at] for key, side in sides.items() if side[at] is not _GONE} for at in (0, 1))
    return one, other


def _lists(base: list[Tree], ours: list[Tree], theirs: list[Tree]) -> tuple[object, object]:
    entries = [keyed(each) for each in (base, ours, theirs)]
    sides = {
        key: _entry(*(each.get(key, _GONE) for each in entries))
        for key in dict.fromkeys(key for each in entries for key in each)
    }
    orders = _orders(*(list(each) for each in entries))
    one, other = (
        [side for key in order if (side := sides[key][at]) is not _GONE] or _GONE for at, order in enumerate(orders)
    )
    return one, other


def _entry(base: object, ours: object, theirs: object) -> tuple[object, object]:
    divides = any(
        _is_list_of_tables(value) for each in (base, ours, theirs) if isinstance(each, dict) for value in each.values()
    )
    if divides:
        return _sides(base, ours, theirs)
    if theirs in (base, ours):
        return ours, ours
    return (theirs, theirs) if ours == base else (ours, theirs)


def _orders(base: Sequence[str], ours: Sequence[str], theirs: Sequence[str]) -> tuple[list[str], list[str]]:
    """The order of whoever moved entries, with what the other added; each its own where both moved some."""
    if not _moved(base, ours):
        both = _woven(theirs, ours)
        return both, both
    if not _moved(base, theirs) or not _moved(ours, theirs):
        both = _woven(ours, theirs)
        return both, both
    return _woven(ours, theirs), _woven(theirs, ours)


def _moved(before: Sequence[str], after: Sequence[str]) -> bool:
    return [key for key in before if key in after] != [key for key in after if key in before]


def _woven(order: Sequence[str], other: Sequence[str]) -> list[str]:
    """The order, with each key that only the other has behind the one it follows there, and behind what the order alone
    has in the same place."""
    woven = list(order)
    for place, key in enumerate(other):
        if key not in woven:
            before = next((each for each in reversed(other[:place]) if each in woven), None)
            at = 0 if before is None else woven.index(before) + 1
            while at < len(woven) and woven[at] not in other:
                at += 1
            woven.insert(at, key)
    return woven


def _is_list_of_tables(value: object) -> bool:
    """Whether it is a list of entries; nothing may become one."""
    return value is _GONE or (isinstance(value, list) and all(isinstance(entry, Mapping) for entry in value))
