"""Names in a part of a draft: made where none was typed, and carried to whatever speaks of them."""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from typing import Any

from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.renaming import NAMED, renamed, spoken_of, with_ids
from shedgrade.domain.spec.text import tree_of
from shedgrade.web.draft_fields import Part
from shedgrade.web.part_form import Built, held_of

Tree = dict[str, Any]

_BANDS = "bands"


def well_named(tree: Tree, part: Part, built: Built, spec: Spec) -> Tree:
    """What the form of a part makes of a draft, in which all of it speaks of the part's entries by their new names."""
    made = with_ids(_keeping_ids(tree, part, built, spec), spec.crop)
    for key, names in _new_names(made, part, built, spec):
        made = renamed(made, key, names, spec.crop)
    return spoken_of(made, _called_anew(made, part, built, spec))


def _called_anew(made: Tree, part: Part, built: Built, spec: Spec) -> dict[str, str]:
    """What classes were called, and are called now where that is something else."""
    pairs = (pair for key, pairs in _pairs(tree_of(spec), made, part, built) if key == "class" for pair in pairs)
    return {
        before["name"]: after["name"]
        for before, after in pairs
        if before and after.get("name") and before["name"] != after["name"]
    }


def _keeping_ids(tree: Tree, part: Part, built: Built, spec: Spec) -> Tree:
    """The tree in which an entry that was there before has its short name still, where nobody typed another: samples,
    prices and labels know it by that."""
    made = deepcopy(tree)
    for key, pairs in _pairs(tree_of(spec), made, part, built):
        for before, after in pairs if key in NAMED else []:
            if before and not after.get("id"):
                after["id"] = before["id"]
    return made


def _new_names(made: Tree, part: Part, built: Built, spec: Spec) -> Iterator[tuple[str, Mapping[str, str]]]:
    """Each list of the part with its entries' old names and new ones; a name that another entry has now stays its."""
    for key, pairs in _pairs(tree_of(spec), made, part, built):
        name = "name" if key == _BANDS else "id"
        now = {after.get(name) for _, after in pairs}
        names = {
            str(before[name]): str(after[name])
            for before, after in pairs
            if before and after.get(name) and before[name] not in now
        }
        yield key, names


Pair = tuple[Tree, Tree]


def _pairs(stored: Tree, made: Tree, part: Part, built: Built) -> Iterator[tuple[str, list[Pair]]]:
    """Each list of the part whose entries have names: every entry as it was (nothing for a new one) and as it is."""
    if part.place[:1] == ("limit",):
        place = part.place
        others: list[Pair] = [({}, each) for number, each in enumerate(made["limit"]) if number != place[1]]
        own: Any = (held_of(stored, place), held_of(made, place))
        yield "limit", [*others, own]
    for each in part.fields:
        if part.place[:1] != ("limit",) and each.key in (*NAMED, _BANDS):
            before, after = _listed(stored, part, each.key), _listed(made, part, each.key)
            was = (built.was.get((*part.place, each.key, number), -1) for number in range(len(after)))
            yield each.key, [(before[at] if at >= 0 else {}, entry) for at, entry in zip(was, after, strict=True)]


def _listed(tree: Tree, part: Part, key: str) -> list[Tree]:
    held: Any = held_of(tree, part.place).get(key, [])
    return list(held)
