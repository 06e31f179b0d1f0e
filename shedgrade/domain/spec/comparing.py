"""What differs between two specs, field by field, in words.

Both are taken as their trees. Entries of lists belong together by what they are about (a limit by its id, a row by
its guards, a size by its name), so that a table with a row more does not read as a table of other rows.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import count
from types import MappingProxyType

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.writing import Tree, tree_of

Names = Mapping[str, Mapping[str, str]]
"""What the ids in a field are called, by the key of the field."""


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: its place in words, and what stands there before and after; "" where there is nothing."""

    place: str
    before: str
    after: str


def compare(before: Spec, after: Spec) -> tuple[Change, ...]:
    """Every difference, in file order; none for equal specs only. An entry that only one of them has is one
    difference, and so is a figure with the source of it. The id of a spec is said only where nothing else differs."""
    changes = tuple(_differences(_whole(before), _whole(after)))
    return tuple(each for each in changes if each.place != "id") or changes


@dataclass(frozen=True, slots=True)
class _Node:
    """A table: its place in words, and the last of them, which say what it is among those beside it; its fields, what
    the ids in them are called, and its lists and tables by their name, each entry by what it is about."""

    words: str
    label: str
    fields: dict[str, object]
    names: Names
    lists: dict[str, dict[str, "_Node"]]


def _differences(old: _Node, new: _Node) -> Iterator[Change]:
    other = [name for name in dict.fromkeys([*old.fields, *new.fields]) if old.fields.get(name) != new.fields.get(name)]
    if _FIGURE in other:
        source = _source_now(new, [name for name in other if name in _OF_SOURCE])
        before, after = _pair(old, new, _FIGURE)
        yield Change(new.words, before, f"{after} ({source})" if source and after else after)
        other = [name for name in other if name != _FIGURE and name not in _OF_SOURCE]
    for name in other:
        yield Change(_joined(new.words, _WORDS.get(name, name)), *_pair(old, new, name))
    for name in dict.fromkeys([*old.lists, *new.lists]):
        entries = [node.lists.get(name, {}) for node in (old, new)]
        yield from _reordered(_joined(new.words, f"order of {_LISTS.get(name, name)}"), *entries)
        for key in dict.fromkeys([*entries[0], *entries[1]]):
            one, two = (each.get(key) for each in entries)
            if one is not None and two is not None:
                yield from _differences(one, two)
            else:
                node = one or two
                yield Change("" if node is None else node.words, _summary(one), _summary(two))


def _reordered(words: str, old: dict[str, _Node], new: dict[str, _Node]) -> Iterator[Change]:
    """Whether the entries that both have stand in another order, which decides where the first that fits does."""
    before, after = [key for key in old if key in new], [key for key in new if key in old]
    if before != after:
        yield Change(words, ", ".join(old[key].words for key in before), ", ".join(new[key].words for key in after))


def _source_now(new: _Node, changed: list[str]) -> str:
    """What is said of the source of a figure that changed: how it is known now, or where it stands."""
    if "mark" in changed:
        return f"now {new.fields['mark']}" if new.fields.get("mark") else "known as what stands beside it"
    said = [f"{_WORDS.get(name, name)} {_said(name, new.fields[name])}" for name in changed if new.fields.get(name)]
    return ", ".join(said)


def _whole(spec: Spec) -> _Node:
    classes = {each.id: each.name for each in spec.classes}
    limits = {each.id: each.name for each in spec.limits}
    sets = {each.id: each.name for each in spec.sets}
    kinds = {each.id: each.name for each in spec.crop.kinds}
    kinds |= {each.id: each.name for each in spec.crop.measures} | {each.id: each.name for each in spec.severities}
    names: Names = dict.fromkeys(("class", "below", "meets", "as_class"), classes)
    names = {**names, **dict.fromkeys(("breaks", "still", "takes"), limits), "sets": sets, _COUNTED: sets}
    return _node(tree_of(spec), "", "", {**names, **{key: {**limits, **kinds} for key in ("of", "has", "when")}})


def _node(tree: Tree, above: str, label: str, names: Names) -> _Node:
    words = _joined(above, label)
    fields: dict[str, object] = {}
    lists: dict[str, dict[str, _Node]] = {}
    for name, value in tree.items():
        if isinstance(value, list) and value and all(isinstance(entry, dict) for entry in value):
            inner = {**names, "of": names[_COUNTED]} if name == "tolerance" else names
            lists[name] = _entries(name, value, words, inner)
        elif isinstance(value, dict) and name in _TABLES:
            lists[name] = {name: _node(value, "", _TABLES[name], names)}
        else:
            fields[name] = value
    return _Node(words, label, fields, names, lists)


def _entries(name: str, entries: list[Tree], words: str, names: Names) -> dict[str, _Node]:
    found: dict[str, _Node] = {}
    for key, entry in keyed(entries).items():
        about = _what_about(entry)
        label = f"{name} {entry['name']}" if "id" in entry else _about(name, about, names)
        own = {field: value for field, value in entry.items() if field not in about}
        found[key] = _node(own, words, label, names)
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


def _about(name: str, about: Tree, names: Names) -> str:
    """What people call an entry without an id: "Class I, size A", "of which of worse than Class II"."""
    listed = about.get("class", [])
    of_class = [_named(str(each), names["class"]) for each in (listed if isinstance(listed, list) else [listed])]
    parts = [" or ".join(of_class)]
    parts += [
        f"{_ABOUT.get(key, key)} {_said(key, value, names)}".strip() for key, value in about.items() if key != "class"
    ]
    said = ", ".join(part for part in parts if part)
    return f"{_BESIDES[name]} {said}" if name in _BESIDES else said or "all fruit"


def _summary(node: _Node | None) -> str:
    """All that an entry says; of its source, that it is the shed's own."""
    if node is None:
        return ""
    own = [
        f"{_WORDS.get(name, name)} {_said(name, value, node.names)}".strip()
        for name, value in node.fields.items()
        if name not in _OF_SOURCE
    ]
    own += [Mark.OUR_OWN.value] if node.fields.get("mark") == Mark.OUR_OWN else []
    inner = [f"{each.label}: {_summary(each)}" for entries in node.lists.values() for each in entries.values()]
    return "; ".join([*own, *inner]) or "there"


def _pair(old: _Node, new: _Node, name: str) -> tuple[str, str]:
    """Two different values in words; as they are written, where the words are the same."""
    values = [node.fields.get(name) for node in (old, new)]
    said = [
        "" if value is None else _said(name, value, node.names) for value, node in zip(values, (old, new), strict=True)
    ]
    if said[0] == said[1]:
        said = ["" if value is None else json.dumps(value, ensure_ascii=False) for value in values]
    return said[0], said[1]


def _joined(*words: str) -> str:
    return ", ".join(word for word in words if word)


def _said(name: str, value: object, names: Names = MappingProxyType({})) -> str:
    """A value of a field as people read it: ids by what they are called."""
    called = names.get(name, {})
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_said(name, each, names) for each in value)
    if isinstance(value, dict):
        return " and ".join(f"{_named(key, called)} {_said('', each)}" for key, each in value.items())
    if value == "":
        return "none"
    try:
        return Bound.parse(str(value)).says()
    except ValueError:
        return _named(str(value), called)


def _named(word: str, called: Mapping[str, str]) -> str:
    return called.get(word, word)


_FIGURE = "to"
_COUNTED = "tolerance of"
_OF_SOURCE = frozenset({"standard", "edition", "section", "mark", "note", "address", "on"})
# What an entry without an id is not known by: what it allows, what stands inside it, its source.
_NOT_ABOUT = frozenset(
    [
        *("to", "rows", "or_else", "within", "package_times", "still", "next_size"),
        *_OF_SOURCE,
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
