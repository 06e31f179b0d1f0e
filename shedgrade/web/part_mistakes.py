"""Mistakes in a part of a draft in the words of its form: beside their fields, or in other parts with the way there."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from shedgrade.domain.entry.bounds import said_text
from shedgrade.domain.spec.mistakes import Mistake, Wrong
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed, named
from shedgrade.domain.spec.places import Place
from shedgrade.domain.spec.text import tree_of
from shedgrade.web.answers import MISSING
from shedgrade.web.draft_fields import Field, Kind, Part, limit_part, part_of, parts_of
from shedgrade.web.part_form import Built, held_of, typed_of
from shedgrade.web.part_view import Drawing, boxes_of, labels_of


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A mistake in another part: what the page calls the place, what is wrong, and the address of the field."""

    where: str
    says: str
    href: str


@dataclass(slots=True)
class Sorted:
    """Mistakes by where they are told: beside a field, with what may have been meant, or in other parts."""

    errors: dict[str, str] = field(default_factory=dict)
    offers: dict[str, tuple[str, ...]] = field(default_factory=dict)
    elsewhere: list[Elsewhere] = field(default_factory=list)


def sorted_out(
    mistakes: Sequence[Mistake], built: Built, part: Part, spec: Spec, tree: Mapping[str, object], address: str
) -> Sorted:
    """The mistakes that the form of a part makes in a draft. ``spec`` is the draft as it is stored, ``tree`` what the
    form would make of it; ``address`` is that of the forms of the draft."""
    found = Sorted(errors=dict(built.refused))
    for mistake in mistakes:
        name = built.name_at(mistake.place) if mistake.place[: len(part.place)] == part.place else ""
        if not name:
            found.elsewhere.append(_elsewhere(mistake, spec, tree, address))
        elif name not in found.errors:
            found.errors[name] = sentence(mistake, part, spec)
            found.offers[name] = mistake.offers
    return found


def sentence(mistake: Mistake, part: Part, spec: Spec) -> str:
    """What is wrong, in the words of the form."""
    here, beside = _fields_at(part.fields, mistake.place[len(part.place) :])
    if here is not None and here.options is not None:  # what is ticked or chosen is never a slip of the pen
        mistake = replace(mistake, accepted=re.sub(r'did you mean "[^"]*"\? ', "", mistake.accepted))
    if mistake.sort is Wrong.NEVER_REACHED:
        return _never_reached(mistake)
    words = _Words(spec, here, beside)
    if mistake.sort is Wrong.MISSING:
        return _missing(here)
    if mistake.offers:
        return _asked_back(words.plain(mistake.found), mistake.offers)
    if mistake.found in words.labels:
        return f"“{words.labels[mistake.found]}” does not fit here; accepted: {words.plain(mistake.accepted)}."
    found = words.plain(mistake.found)
    return f"{found[0].upper()}{found[1:]} cannot stand here; accepted: {words.plain(mistake.accepted)}."


def _asked_back(found: str, offers: Sequence[str]) -> str:
    meant = listed([f"“{each}”" for each in offers], "or")
    if len(offers) > 1:
        return f"{found} can mean more than one thing: {meant}. Press the one you mean, or write it so."
    return f"{found} cannot stand here. Did you mean {meant}? Press it, or write it so."


def _never_reached(mistake: Mistake) -> str:
    row = next((step + 1 for step in reversed(mistake.place) if isinstance(step, int)), 0)
    said = mistake.found.partition(": ")[2]
    return f"Row {row} can never be reached: {said}. Take one of them out or change whom it speaks of."


def _missing(here: Field | None) -> str:
    kind = here.kind if here is not None else Kind.TEXT
    if here is not None and kind is Kind.LIST:
        return f"Add at least one {here.one}."
    return {Kind.CHOICE: "Choose one.", Kind.TICKS: "Tick at least one."}.get(kind, MISSING)


def _fields_at(fields: Sequence[Field], place: Place) -> tuple[Field | None, Sequence[Field]]:
    """The field of a place, and the fields that stand beside it (or, for an entry, in it)."""
    here, beside = None, fields
    for number, step in enumerate(place):
        if isinstance(step, int):
            beside = here.fields if here is not None and number == len(place) - 1 else beside
            continue
        inner = here.fields if here is not None else fields
        found = next((each for each in inner if each.key == step), None)
        if found is None:
            break
        here, beside = found, inner
    return here, beside


class _Words:
    """Turns the words of a spec file into those of a form: keys into labels, ids into names."""

    def __init__(self, spec: Spec, here: Field | None, beside: Sequence[Field]) -> None:
        self.spec = spec
        self.here = here
        self.fields = {each.key: each for each in beside}
        self.labels = {each.key: each.label for each in beside}
        self.classes = {each.id: each.name for each in spec.classes}
        self.sets = {each.id: each.name for each in spec.sets}

    def plain(self, text: str) -> str:
        """A sentence without keys, ids and comparators."""
        text = re.sub(r" in quotes| with their comparators", "", text)
        text = re.sub(r"at least one table: .*", "at least one entry", text)
        text = re.sub(r'(\w+) = \[?"([^"]*)"\]?', self._pair, text)
        text = re.sub(r"(\w+) = true", lambda fits: f"“{self._label(fits[1])}” ticked", text)
        text = re.sub(r'"([^"]*)"', lambda fits: f"“{self._named(fits[1])}”", text)
        text = re.sub(r"\bor no (\w+)$", lambda fits: f"or “{self._label(fits[1])}” left empty", text)
        text = re.sub(r"^(\w+) with it\b", lambda fits: f"“{self._label(fits[1])}” filled in with it", text)
        text = re.sub(r"^at least one of (\w+(?:, \w+)+)$", self._listed, text)
        return re.sub(r"\b(?:defect )?kinds\b", "faults", text)

    def _pair(self, fits: re.Match[str]) -> str:
        return f"“{self._label(fits[1])}: {self._named(fits[2], self.fields.get(fits[1]))}”"

    def _listed(self, fits: re.Match[str]) -> str:
        return f"at least one of {', '.join(f'“{self._label(each)}”' for each in fits[1].split(', '))}"

    def _label(self, key: str) -> str:
        return self.labels.get(key, key)

    def _named(self, word: str, of: Field | None = None) -> str:
        of = of or self.here
        offered = dict(of.options(self.spec)) if of is not None and of.options is not None else {}
        name = offered.get(word) or self.classes.get(word) or self.sets.get(word) or named(self.spec, word)
        return name if name != word else said_text(word, of.counted if of is not None else "")


def _elsewhere(mistake: Mistake, spec: Spec, tree: Mapping[str, object], address: str) -> Elsewhere:
    """Where the draft as it is stored has the field of a mistake."""
    for part, place in _parts_at(mistake.place, spec, tree):
        held = held_of(tree_of(spec), part.place)
        built = Built(typed_of(part.fields, held))
        built.table(part.fields, held, part.place)
        name = built.name_at(place)
        labels = dict(labels_of(boxes_of(Drawing(spec, built.typed, {}), part.fields)))
        where = ", ".join(filter(None, (part.title, labels.get(name, ""))))
        at = f"?at={name}#f-{name}" if name else ""
        return Elsewhere(where, sentence(replace(mistake, place=place), part, spec), f"{address}/{part.id}{at}")
    return Elsewhere("The whole spec", mistake.says(), "")


def _parts_at(place: Place, spec: Spec, tree: Mapping[str, object]) -> Iterator[tuple[Part, Place]]:
    """The parts that have a place of the new tree, with the same place in the stored one; a limit's own part first."""
    limits = tree.get("limit")
    if place[:1] == ("limit",) and len(place) > 1 and isinstance(limits, list) and isinstance(place[1], int):
        own = part_of(spec, limit_part(str(limits[place[1]].get("id", ""))))
        if own is not None:
            yield own, (*own.place, *place[2:])
    for part_id, _, _ in parts_of(spec):
        part = part_of(spec, part_id)
        if part is None:
            continue
        if (part.place and place[: len(part.place)] == part.place) or (
            not part.place and place[:1] and place[0] in {each.key for each in part.fields}
        ):
            yield part, place
