"""Names in a part of a draft: made where none was typed, and carried to whatever speaks of them."""

from collections.abc import Iterator, Mapping
from typing import Any

from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.renaming import NAMED, renamed, with_ids
from shedgrade.domain.spec.text import tree_of
from shedgrade.web.draft_fields import Part
from shedgrade.web.part_form import Built, held_of

_BANDS = "bands"


def well_named(tree: dict[str, Any], part: Part, built: Built, spec: Spec) -> dict[str, Any]:
    """What the form of a part makes of a draft, in which all of it speaks of the part's entries by their new names."""
    made = with_ids(tree, spec.crop)
    for key, names in _new_names(made, part, built, spec):
        made = renamed(made, key, names, spec.crop)
    return made


def _new_names(
    made: Mapping[str, Any], part: Part, built: Built, spec: Spec
) -> Iterator[tuple[str, Mapping[str, str]]]:
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


Pair = tuple[Mapping[str, Any], Mapping[str, Any]]


def _pairs(
    stored: Mapping[str, Any], made: Mapping[str, Any], part: Part, built: Built
) -> Iterator[tuple[str, list[Pair]]]:
    """Each list of the part whose entries have names: every entry as it was (nothing for a new one) and as it is."""
    if part.place[:1] == ("limit",):
        place = part.place
        others: list[Pair] = [({}, each) for number, each in enumerate(made["limit"]) if number != place[1]]
        yield "limit", [*others, (held_of(stored, place), held_of(made, place))]
    for each in part.fields:
        if part.place[:1] != ("limit",) and each.key in (*NAMED, _BANDS):
            before, after = _listed(stored, part, each.key), _listed(made, part, each.key)
            was = (built.was.get((*part.place, each.key, number), -1) for number in range(len(after)))
            yield each.key, [(before[at] if at >= 0 else {}, entry) for at, entry in zip(was, after, strict=True)]


def _listed(tree: Mapping[str, Any], part: Part, key: str) -> list[Mapping[str, Any]]:
    held: Any = held_of(tree, part.place).get(key, [])
    return list(held)
