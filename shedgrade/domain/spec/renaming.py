"""Names in the tree of a spec: made where none was given, and changed wherever they are spoken of."""

import re
import unicodedata
from collections.abc import Callable, Collection, Iterator, Mapping
from copy import deepcopy
from itertools import chain, count
from typing import Any

from shedgrade.domain.crop import Crop
from shedgrade.domain.spec.measure import OWN_WORDS, Take

Tree = dict[str, Any]
Names = Mapping[str, str]
"""Old names to new ones."""

NAMED = ("class", "severity", "limit", "set", "tolerance", "outlet")
"""The lists of a spec whose entries have an id."""

_LONGEST_ID = 60


def id_from(name: str, taken: Collection[str]) -> str:
    """A name in lower-case letters, figures and hyphens, with a number behind it where that is taken; "" for a name
    without such letters."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return _free("-".join(re.findall("[a-z0-9]+", plain))[:_LONGEST_ID].strip("-"), taken)


def with_ids(tree: Tree, crop: Crop) -> Tree:
    """The tree in which every entry with a name and without an id has one, made of the name."""
    made = deepcopy(tree)
    of_crop = {*OWN_WORDS, *(each.id for each in crop.kinds), *(each.id for each in crop.measures)}
    for key in NAMED:
        entries = made.get(key, [])
        taken = {str(entry["id"]) for entry in entries if entry.get("id")} | (of_crop if key == "severity" else set())
        for number, entry in enumerate(entries):
            if not entry.get("id") and entry.get("name"):
                new = _class_id(entry["name"], taken) if key == "class" else id_from(entry["name"], taken)
                entry["id"] = new or _free(f"{key}-{number + 1}", taken)
                taken.add(entry["id"])
    return made


def renamed(tree: Tree, key: str, names: Names, crop: Crop) -> Tree:
    """The tree in which whatever speaks of these entries of a list (classes, sizes, severities, limits, sets) calls
    them by their new names. The entries themselves stay as they are."""
    made = deepcopy(tree)
    if names and key in SPEAKS_OF:
        SPEAKS_OF[key](made, lambda held: _called(held, names))
    if names and key == "limit":
        for row, switches in switched(made, crop):
            row["when"] = {names.get(name, name) if name in switches else name: to for name, to in row["when"].items()}
    return made


def switched(tree: Tree, crop: Crop) -> Iterator[tuple[Tree, frozenset[str]]]:
    """The rows that are for some figures only, each with the limits whose figures these are; a switch called as one of
    the crop's own figures is that figure, not the limit."""
    own = {*OWN_WORDS, *(each.id for each in crop.measures)}
    for way in _ways(tree):
        for row in way.get("rows", []):
            if "when" in row:
                yield row, frozenset(row["when"]) - own


def spoken_of(tree: Tree, called: Names) -> Tree:
    """The tree in which the names of sets and tolerances speak of classes by what they are called now; ``called`` leads
    from what a class was called. A name counts where it stands as a word of its own: "Class I" is not in "Class II"."""
    if not called:
        return tree
    longest_first = sorted(called, key=len, reverse=True)
    words = re.compile(rf"(?<!\w)({'|'.join(map(re.escape, longest_first))})(?!\w)")
    made = deepcopy(tree)
    for entry in chain(made.get("set", []), made.get("tolerance", [])):
        entry["name"] = words.sub(lambda fits: called[fits[1]], entry.get("name", ""))
    return made


def called_as(before: Tree, after: Tree, crop: Crop) -> Tree:
    """What stood before, called as it is called after: an entry is the same one where it has the same id, or stands in
    the same place and looks at the same while its old name is gone."""
    made = deepcopy(before)
    for key in (*NAMED, "bands"):
        name = "name" if key == "bands" else "id"
        entries, others = _entries(made, key), _entries(after, key)
        olds, news = {each[name] for each in entries}, {each[name]: each for each in others}
        names: dict[str, str] = {}
        for entry, other in zip(entries, others, strict=False):
            same = all(entry.get(each) == other.get(each) for each in ("of", "take", "variety"))
            if same and entry[name] not in news and other[name] not in olds:
                names[entry[name]] = other[name]
        for entry in entries:
            entry[name] = names.get(entry[name], entry[name])
            entry["name"] = news[entry[name]]["name"] if entry[name] in news else entry["name"]
        made = renamed(made, key, names, crop)
    return made


def _entries(tree: Tree, key: str) -> list[Tree]:
    held: list[Tree] = tree.get("scale", {}).get("bands", []) if key == "bands" else tree.get(key, [])
    return held


def _free(word: str, taken: Collection[str]) -> str:
    numbered = chain([word], (f"{word}-{number}" for number in count(2)))
    return next(each for each in numbered if each not in taken) if word else ""


def _class_id(name: str, taken: Collection[str]) -> str:
    """The name without the word class, "I" of "Class I": an id of a class may be any word."""
    words = [word for word in name.replace(",", " ").split() if word.casefold() != "class"]
    return _free(" ".join(words) or name.strip(), taken)


def _called(held: Any, names: Names) -> Any:
    if isinstance(held, list):
        return [names.get(each, each) for each in held]
    return names.get(held, held)


Call = Callable[[Any], Any]


def _put(table: Tree, keys: Collection[str], call: Call) -> None:
    for key in keys:
        if key in table:
            table[key] = call(table[key])


def _ways(tree: Tree) -> Iterator[Tree]:
    for limit in tree.get("limit", []):
        yield limit
        yield from limit.get("or_else", [])


def _rows(tree: Tree) -> Iterator[Tree]:
    for way in _ways(tree):
        yield from way.get("rows", [])


def _parts(tables: list[Tree]) -> Iterator[Tree]:
    for table in tables:
        yield table
        yield from _parts(table.get("within", []))


def _classes(tree: Tree, call: Call) -> None:
    for row in _rows(tree):
        _put(row, ["class"], call)
    for each in tree.get("set", []):
        _put(each, ["below", "meets", "as_class"], call)
    for each in tree.get("tolerance", []):
        _put(each, ["class"], call)


def _sizes(tree: Tree, call: Call) -> None:
    for row in _rows(tree):
        _put(row, ["size"], call)


def _severities(tree: Tree, call: Call) -> None:
    for way in _ways(tree):
        if way.get("take") == Take.SEVERITY:
            _put(way, ["of"], call)


def _limits(tree: Tree, call: Call) -> None:
    for each in tree.get("set", []):
        _put(each, ["breaks"], call)
    for part in _parts(tree.get("tolerance", [])):
        _put(part, ["still"], call)
    for each in tree.get("outlet", []):
        _put(each, ["takes"], call)


def _sets(tree: Tree, call: Call) -> None:
    for each in tree.get("set", []):
        _put(each, ["sets"], call)
    for part in _parts(tree.get("tolerance", [])):
        _put(part, ["of"], call)


SPEAKS_OF: Mapping[str, Callable[[Tree, Call], None]] = {
    "class": _classes,
    "bands": _sizes,
    "severity": _severities,
    "limit": _limits,
    "set": _sets,
}
"""Of each list, what in a tree speaks of its entries: each such text, or list of texts, becomes what the call makes
of it."""
