"""What differs between two specs, field by field, in words.

Both are taken as their trees. Entries of lists belong together by what they are about (a limit by its id, a row by
its guards, a size by its name), so that a table with a row more does not read as a table of other rows.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from shedgrade.domain.bound import Bound
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.writing import Tree, tree_of


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: its place in words, and what stands there before and after; "" where there is nothing."""

    place: str
    before: str
    after: str


def compare(before: Spec, after: Spec) -> tuple[Change, ...]:
    """Every difference, in file order; none for equal specs only. An entry that only one of them has is one
    difference."""
    return tuple(_differences(_whole(before), _whole(after)))


@dataclass(frozen=True, slots=True)
class _Node:
    """A table: its place in words, and the last of them, which say what it is among those beside it; its fields by
    their words, and its lists and tables by their name, each entry by what it is about."""

    words: str
    label: str
    fields: dict[str, object]
    lists: dict[str, dict[str, "_Node"]]


def _differences(old: _Node, new: _Node) -> Iterator[Change]:
    for name in dict.fromkeys([*old.fields, *new.fields]):
        pair = [node.fields.get(name) for node in (old, new)]
        if pair[0] != pair[1]:
            yield Change(_joined(new.words, name), *_pair(pair))
    for name in dict.fromkeys([*old.lists, *new.lists]):
        entries = [node.lists.get(name, {}) for node in (old, new)]
        yield from _reordered(_joined(new.words, f"order of {_LISTS.get(name, name)}"), *entries)
        for key in dict.fromkeys([*entries[0], *entries[1]]):
            one, other = (each.get(key) for each in entries)
            if one is not None and other is not None:
                yield from _differences(one, other)
            else:
                node = one or other
                yield Change("" if node is None else node.words, _summary(one), _summary(other))


def _reordered(words: str, old: dict[str, _Node], new: dict[str, _Node]) -> Iterator[Change]:
    """Whether the entries that both have stand in another order, which decides where the first that fits does."""
    before, after = [key for key in old if key in new], [key for key in new if key in old]
    if before != after:
        yield Change(words, ", ".join(old[key].words for key in before), ", ".join(new[key].words for key in after))


def _whole(spec: Spec) -> _Node:
    return _node(tree_of(spec), "", "", {each.id: each.name for each in spec.classes})


def _node(tree: Tree, above: str, label: str, classes: dict[str, str]) -> _Node:
    words = _joined(above, label)
    fields: dict[str, object] = {}
    lists: dict[str, dict[str, _Node]] = {}
    for name, value in tree.items():
        if isinstance(value, list) and value and all(isinstance(entry, dict) for entry in value):
            lists[name] = _entries(name, value, words, classes)
        elif isinstance(value, dict) and name in _TABLES:
            lists[name] = {name: _node(value, "", _TABLES[name], classes)}
        else:
            fields[_WORDS.get(name, name)] = value
    return _Node(words, label, fields, lists)


def _entries(name: str, entries: list[Tree], words: str, classes: dict[str, str]) -> dict[str, _Node]:
    found: dict[str, _Node] = {}
    for key, entry in keyed(entries).items():
        about = _what_about(entry)
        label = f"{name} {entry['name']}" if "id" in entry else _about(name, about, classes)
        own = {field: value for field, value in entry.items() if field not in about}
        found[key] = _node(own, words, label, classes)
    return found


def keyed(entries: list[Tree]) -> dict[str, Tree]:
    """The entries of a list, each by what it is about: its id, or all of it that is no figure and no source."""
    found: dict[str, Tree] = {}
    for entry in entries:
        written = json.dumps(_what_about(entry), sort_keys=True)
        found[next(each for each in (f"{written} {number}" for number in count()) if each not in found)] = entry
    return found


def _what_about(entry: Tree) -> Tree:
    if "id" in entry:
        return {"id": entry["id"]}
    return {key: value for key, value in entry.items() if key not in _NOT_ABOUT}


def _about(name: str, about: Tree, classes: dict[str, str]) -> str:
    """What people call an entry without an id: "Class I, size A", "of which of worse than Class II"."""
    listed = about.get("class", [])
    of_class = [classes.get(str(each), str(each)) for each in (listed if isinstance(listed, list) else [listed])]
    parts = [" or ".join(of_class)]
    parts += [f"{_ABOUT.get(key, key)} {_said(value)}".strip() for key, value in about.items() if key != "class"]
    said = ", ".join(part for part in parts if part)
    return f"{_BESIDES[name]} {said}" if name in _BESIDES else said or "all fruit"


def _summary(node: _Node | None) -> str:
    """All that an entry says."""
    if node is None:
        return ""
    own = [f"{name} {_said(value)}".strip() for name, value in node.fields.items()]
    inner = [f"{each.label}: {_summary(each)}" for entries in node.lists.values() for each in entries.values()]
    return "; ".join([*own, *inner]) or "there"


def _pair(values: list[object]) -> tuple[str, str]:
    """Two different values in words; as they are written, where the words are the same."""
    said = ["" if value is None else _said(value) for value in values]
    if said[0] == said[1]:
        said = ["" if value is None else json.dumps(value, ensure_ascii=False) for value in values]
    return said[0], said[1]


def _joined(*words: str) -> str:
    return ", ".join(word for word in words if word)


def _said(value: object) -> str:
    """A value as people read it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_said(each) for each in value)
    if isinstance(value, dict):
        return " and ".join(f"{name} {_said(each)}" for name, each in value.items())
    try:
        return Bound.parse(str(value)).says()
    except ValueError:
        return str(value)


# What an entry without an id is not known by: what it allows, what stands inside it, its source.
_NOT_ABOUT = frozenset(
    [
        *("to", "rows", "or_else", "within", "package_times", "still", "next_size"),
        *("standard", "edition", "section", "mark", "note", "address", "on"),
    ]
)
_TABLES = {"source": "source", "scale": "sizes"}
_LISTS = {"class": "classes", "bands": "sizes", "or_else": "other ways", "within": "inner parts"}
_LISTS |= {name: f"{name}s" for name in ("limit", "set", "tolerance", "outlet")} | {"severity": "severities"}
_BESIDES = {"or_else": "or", "within": "of which"}
_WORDS = {
    "to": "",
    "take": "taken as",
    "by": "added up by",
    "state": "in the state",
    "as_on": "as on a fruit with",
    "among": "among fruit of the",
    "level": "held against",
    "count_in": "fruit in",
    "mark": "how it is known",
    "address": "read at",
    "on": "read on",
    "crop": "fruit",
    "packed": "counts as packed",
    "basis": "counted by",
    "scope": "share of each",
    "package_times": "times as much in one package",
    "still": "must hold even so",
    "next_size": "only of the next size up or down",
    "below": "does not make",
    "breaks": "breaks one of",
    "other_size": "of other size",
    "as_class": "as written for",
    "sets": "is in",
    "grown_in": "grown in",
    "destination": "to",
    "stage": "at",
    "presentation": "presented",
    "when": "where",
    "days": "between",
    "variety": "of",
}
_ABOUT = _WORDS | {"name": ""}
