"""The form of a part of a spec: what its fields hold of the tree, and the tree that what was typed makes.

A field's name is the way to it: "rows-2-to". Every entry of a list is sent with a hidden field "rows-2-was": the place
it had in the stored list, empty for a new one.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from shedgrade.domain.entry.bounds import Typed, said_text
from shedgrade.domain.spec.measure import Take
from shedgrade.domain.spec.places import Place
from shedgrade.web.draft_fields import SECOND, Field, Kind

Pairs = list[tuple[str, str]]
Tree = dict[str, object]

WAS = "was"
_NONE = "-"
_NOT_DIVIDED = (
    "Only where the figure is got as the first divided by the second; choose nothing here, or that way above."
)

_SAME_FIGURE = "Another condition is on this figure already. Write both ends in one, such as “from 85 g to 100 g”."


def typed_of(fields: Sequence[Field], tree: Mapping[str, object], above: str = "") -> Pairs:
    """What a form shows of the tree before anybody types."""
    pairs: Pairs = []
    for each in fields:
        pairs += _typed(each, _shown(each, tree), f"{above}{each.key}")
    return pairs


def _shown(each: Field, tree: Mapping[str, object]) -> object:
    """The rows of a limit written as one figure are one row; of two figures, the one divided by stands apart."""
    if each.key == "rows" and "rows" not in tree and "to" in tree:
        return [{"to": tree["to"]}]
    if each.key in ("of", SECOND) and tree.get("take") == Take.RATIO:
        first, *second = _list(tree.get("of")) or [None]
        return first if each.key == "of" else second
    return tree.get(each.key)


def _typed(each: Field, value: object, name: str) -> Pairs:
    if each.kind is Kind.TABLE:
        return typed_of(each.fields, _table(value), f"{name}-")
    if each.kind is Kind.PAIRS:
        value = [{"name": key, "to": text} for key, text in _table(value).items()]
    if each.kind in (Kind.LIST, Kind.PAIRS):
        pairs: Pairs = []
        for number, entry in enumerate(_list(value)):
            pairs += [
                (f"{name}-{number}-{WAS}", str(number)),
                *typed_of(each.fields, _table(entry), f"{name}-{number}-"),
            ]
        return pairs
    if each.kind is Kind.TICKS:
        return [(name, str(word)) for word in _list(value)]
    if each.kind in (Kind.FLAG, Kind.YES_OR_NO):
        return [(name, "yes")] if value else []
    text = _in_a_box(each, value)
    return [(name, text)] if text else []


def _in_a_box(each: Field, value: object) -> str:
    """What stands in a field that is one box to type in or to choose from."""
    if value == "" and each.dash:
        return _NONE
    if each.kind is Kind.BOUND and value:
        return said_text(str(value), each.counted)
    between = "\n" if each.kind is Kind.PARAGRAPHS else ", "
    return "" if value is None else between.join(map(str, _list(value)))


@dataclass(slots=True)
class Built:
    """Makes a part of the tree out of what was typed; ``names`` leads from a place in it back to the field, ``was``
    to the place that an entry had in the stored list. ``refused`` are fields that the tree cannot hold as typed."""

    typed: Pairs
    names: dict[Place, str] = field(default_factory=dict)
    was: dict[Place, int] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)

    def table(self, fields: Sequence[Field], stored: Mapping[str, object], place: Place = (), above: str = "") -> Tree:
        """The keys that say something, in the order of the fields."""
        made: Tree = {}
        for each in fields:
            at, name = (*place, each.key), f"{above}{each.key}"
            self.names[at] = name
            value = self._value(each, _shown(each, stored), at, name)
            if value == _NONE and each.dash:
                made[each.key] = ""
            elif value not in (None, "", [], {}):
                made[each.key] = value
        return self._divided(made, above) if any(each.key == SECOND for each in fields) else made

    def _divided(self, made: Tree, above: str) -> Tree:
        """Of one figure divided by another, both under one key, in their order."""
        second, of = made.pop(SECOND, None), _list(made.get("of"))
        if made.get("take") != Take.RATIO:
            if second is not None:
                self.refused[f"{above}{SECOND}"] = _NOT_DIVIDED
        elif second is not None:
            made["of"] = [*(each for each in of if each != second), second]
        elif len(of) > 1:
            self.refused[f"{above}{SECOND}"] = "Choose which of the figures the other is divided by."
        return made

    def _value(self, each: Field, stored: object, place: Place, name: str) -> object:
        if each.kind is Kind.TABLE:
            return self.table(each.fields, _table(stored), place, f"{name}-")
        if each.kind is Kind.LIST:
            return self._entries(each, _list(stored), place, name)
        if each.kind is Kind.PAIRS:
            return self._pairs(each, _table(stored), place, name)
        if each.kind is Kind.TICKS:
            return [value for key, value in self.typed if key == name]
        return _read(each, stored, self._text(name))

    def _entries(self, each: Field, stored: Sequence[object], place: Place, name: str) -> list[Tree]:
        """An entry in which nothing was typed is none."""
        made: list[Tree] = []
        for number in numbers_of(self.typed, name):
            at = (*place, len(made))
            was = self._text(f"{name}-{number}-{WAS}")
            number_before = _number(was)
            before = _table(stored[number_before]) if 0 <= number_before < len(stored) else {}
            entry = self.table(each.fields, before, at, f"{name}-{number}-")
            if any(value is not False for value in entry.values()):
                self.names[at] = f"{name}-{number}-{each.fields[0].key}"
                self.was[at] = number_before
                made.append({**before, **entry} if each.keeps else entry)
        return made

    def _pairs(self, each: Field, stored: Mapping[str, object], place: Place, name: str) -> Tree:
        made: Tree = {}
        for number in numbers_of(self.typed, name):
            key, text = (self._text(f"{name}-{number}-{part}") for part in ("name", "to"))
            if key and key in made:
                self.refused[f"{name}-{number}-name"] = _SAME_FIGURE
            elif key or text:
                self.names[*place, key] = f"{name}-{number}-to"
                made[key] = _as_typed(each.fields[-1], stored.get(key), text)
        return made

    def _text(self, name: str) -> str:
        return next((value.strip() for key, value in reversed(self.typed) if key == name), "")

    def name_at(self, place: Place) -> str:
        """The field nearest to a place; "" where the place is in no field of this part."""
        while place and place not in self.names:
            place = place[:-1]
        return self.names.get(place, "")


def _as_typed(each: Field, stored: object, text: str) -> str:
    """A bound or figure to be read as people write it; as the tree has it, where nobody changed it."""
    held = stored if isinstance(stored, str) else ""
    shown = said_text(held, each.counted) if each.kind is Kind.BOUND else held
    return held if held and " ".join(text.split()) == shown else Typed(" ".join(text.split()))


def _read(each: Field, stored: object, text: str) -> object:
    if each.kind in (Kind.FLAG, Kind.YES_OR_NO):
        return bool(text) or (None if each.kind is Kind.FLAG else False)
    if each.kind in (Kind.BOUND, Kind.FIGURE):
        return _as_typed(each, stored, text)
    if each.kind is Kind.PARAGRAPHS:
        return [line.strip() for line in text.splitlines() if line.strip()]
    if each.kind is Kind.WORDS:
        words = [word.strip() for word in text.split(",") if word.strip()]
        return words[0] if len(words) == 1 else words
    return " ".join(text.split())


def numbers_of(typed: Pairs, name: str) -> list[int]:
    """The numbers of a list's entries, in their order."""
    found = re.compile(rf"{re.escape(name)}-(\d{{1,4}})-{WAS}")
    return sorted({int(fits[1]) for key, _ in typed if (fits := found.fullmatch(key))})


def after_deed(typed: Pairs, deed: str) -> tuple[Pairs, str]:
    """What is typed after a list was told to add, copy, move or take out an entry, and the name of the entry that was
    touched; as it was, for a deed that makes no sense. A deed is its word and the list or entry: "up rows-2"; to put a
    text into a field is "put rows-2-to at most 4 cm²"."""
    word, _, target = deed.partition(" ")
    if word == "put":
        name, _, text = target.partition(" ")
        return [(key, text if key == name else value) for key, value in typed], name
    if word == "add":
        number = len(numbers_of(typed, target))
        return [
            *_ordered(typed, target, numbers_of(typed, target)),
            (f"{target}-{number}-{WAS}", ""),
        ], f"{target}-{number}"
    name, _, number_text = target.rpartition("-")
    numbers = numbers_of(typed, name)
    number = _number(number_text)
    if number not in numbers:
        return typed, ""
    order, at = _rearranged(word, numbers, numbers.index(number))
    return _ordered(typed, name, order), f"{name}-{at}"


def _rearranged(word: str, numbers: list[int], at: int) -> tuple[list[int], int]:
    number, rest = numbers[at], [*numbers[:at], *numbers[at + 1 :]]
    if word == "copy":
        return [*numbers[: at + 1], number, *numbers[at + 1 :]], at + 1
    if word == "remove":
        return rest, max(0, min(at, len(rest) - 1))
    to = {"up": max(0, at - 1), "down": min(len(rest), at + 1)}.get(word, at)
    return [*rest[:to], number, *rest[to:]], to


def _ordered(typed: Pairs, name: str, order: Sequence[int]) -> Pairs:
    """The entries of a list in this order, numbered anew; one that comes twice is new the second time."""
    entry = re.compile(rf"{re.escape(name)}-(\d{{1,4}})-(.*)", re.DOTALL)
    groups: dict[int, Pairs] = {}
    others: Pairs = []
    for key, value in typed:
        fits = entry.fullmatch(key)
        if fits:
            groups.setdefault(int(fits[1]), []).append((fits[2], value))
        else:
            others.append((key, value))
    for place, number in enumerate(order):
        again = number in order[:place]
        others += [
            (f"{name}-{place}-{key}", "" if again and key == WAS else value) for key, value in groups.get(number, [])
        ]
    return others


def _number(text: str) -> int:
    """A number as our own forms write it; -1 for anything else."""
    return int(text) if re.fullmatch(r"\d{1,4}", text, re.ASCII) else -1


def _table(value: object) -> Mapping[str, object]:
    return value if isinstance(value, dict) else {}


def _list(value: object) -> list[object]:
    return value if isinstance(value, list) else [] if value is None else [value]


def held_of(tree: Mapping[str, object], place: Place) -> Mapping[str, object]:
    """The table in a place of a tree; nothing where there is none yet."""
    held: object = tree
    for step in place:
        if isinstance(step, int):
            listed = _list(held)
            held = listed[step] if step < len(listed) else {}
        else:
            held = _table(held).get(step, {})
    return _table(held)
