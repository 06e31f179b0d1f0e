"""A class or a size taken out of a spec, and with it whatever speaks of nothing else."""

from collections.abc import Collection, Iterator
from copy import deepcopy
from functools import partial
from typing import Any

from shedgrade.domain.crop import Crop
from shedgrade.domain.spec.renaming import SPEAKS_OF, Tree, switched

_CONDITIONS = ("below", "meets", "breaks", "has", "sets", "other_size")
_EMPTIED: tuple[object, ...] = ([], None)


def gone(before: Tree, after: Tree, key: str) -> frozenset[str]:
    """The classes ("class") or sizes ("bands") of one tree that the other no longer has, by id or by name."""
    return _names(before, key) - _names(after, key)


def taken_out(tree: Tree, key: str, names: Collection[str], crop: Crop) -> Tree:
    """The tree in which nothing speaks of these classes or sizes: rows, sets, tolerances and outlets lose the word, and
    go where nothing else is left in them; so do limits without a row, and what speaks of those. A row for fruit whose
    figure of such a limit lies in a bound goes: without the bound it would speak of other fruit too."""
    made = deepcopy(tree)
    left: list[tuple[str, Collection[str]]] = [(key, names)]
    while left:
        of, out = left.pop()
        SPEAKS_OF[of](made, partial(_without, out=frozenset(out)))
        for row, switches in switched(made, crop) if of == "limit" else ():
            row["when"] = row["when"] if switches.isdisjoint(out) else None
        left += [(each, lost) for each in ("limit", "set") if (lost := _prune(made, each))]
        made["tolerance"] = list(_parts(made.get("tolerance", [])))
        made["outlet"] = [each for each in made.get("outlet", []) if each.get("takes") not in _EMPTIED]
    return {name: value for name, value in made.items() if value != []}


def _names(tree: Tree, key: str) -> frozenset[str]:
    if key == "class":
        return frozenset(str(each.get("id")) for each in tree.get("class", []))
    return frozenset(str(each.get("name")) for each in tree.get("scale", {}).get("bands", []))


def _without(held: Any, *, out: Collection[str]) -> Any:
    if isinstance(held, list):
        return [each for each in held if each not in out]
    return None if held in out else held


def _prune(tree: Tree, key: str) -> list[str]:
    """Take out the limits or sets in which nothing is left; their ids."""
    entries = tree.get(key, [])
    stays = [each for each in entries if (_still_limits if key == "limit" else _still_a_set)(each)]
    if key in tree:
        tree[key] = stays
    return [each["id"] for each in entries if each not in stays]


def _still_limits(limit: Tree) -> bool:
    if "or_else" in limit:
        limit["or_else"] = [each for each in limit["or_else"] if _has_rows(each)]
        _drop_emptied(limit, ["or_else"])
    return _has_rows(limit)


def _has_rows(way: Tree) -> bool:
    if "rows" not in way:
        return True
    way["rows"] = [
        row for row in way["rows"] if all(row[key] not in _EMPTIED for key in ("class", "size", "when") if key in row)
    ]
    return bool(way["rows"])


def _still_a_set(entry: Tree) -> bool:
    if entry.get("as_class", "") is None:  # what breaks a limit as it is written for a class that is gone
        entry.pop("breaks", None)
    _drop_emptied(entry, [*_CONDITIONS, "as_class"])
    return any(key in entry for key in _CONDITIONS)


def _parts(tables: list[Tree]) -> Iterator[Tree]:
    """The tolerances, or parts of one, that still speak of some class and count some set."""
    for table in tables:
        if all(table.get(key, "") not in _EMPTIED for key in ("class", "of")):
            if "within" in table:
                table["within"] = list(_parts(table["within"]))
            _drop_emptied(table, ["still", "within"])
            yield table


def _drop_emptied(table: Tree, keys: Collection[str]) -> None:
    for key in keys:
        if table.get(key, "") in _EMPTIED:
            table.pop(key, None)
