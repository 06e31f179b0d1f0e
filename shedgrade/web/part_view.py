"""The form of a part of a spec as its page draws it: boxes to type in, lists of entries, mistakes beside them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from shedgrade.domain.spec.model import Spec
from shedgrade.web.draft_fields import Field, Kind
from shedgrade.web.part_form import WAS, Pairs, numbers_of


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a list. ``more`` are the boxes seldom filled, ``filled`` how many of them say something; they lie
    open where one has a mistake. ``touched`` is what a button has just added or moved."""

    name: str
    words: str
    was: str
    boxes: list["Box"]
    more: list["Box"]
    filled: int
    open: bool
    first: bool
    last: bool
    touched: bool


@dataclass(frozen=True, slots=True)
class Box:
    """One field: what is typed, what can be chosen, what is wrong; a table's boxes or a list's entries."""

    field: Field
    name: str
    value: str
    values: list[str]
    options: list[tuple[str, str]]
    error: str
    boxes: list["Box"]
    entries: list[Entry]

    @property
    def kind(self) -> str:
        """The kind's name, for the template."""
        return self.field.kind.name.lower()

    @property
    def says_something(self) -> bool:
        """Whether anything is typed in it or below it."""
        return bool(self.values or self.entries or any(box.says_something for box in self.boxes))

    @property
    def has_mistake(self) -> bool:
        """Whether there is a mistake in it or below it."""
        inner = [*self.boxes, *(box for entry in self.entries for box in (*entry.boxes, *entry.more))]
        return bool(self.error or any(box.has_mistake for box in inner))


@dataclass(frozen=True, slots=True)
class Drawing:
    """What the boxes are drawn from."""

    spec: Spec
    typed: Pairs
    errors: Mapping[str, str]
    touched: str = ""


def boxes_of(drawing: Drawing, fields: Sequence[Field], above: str = "") -> list[Box]:
    """The boxes of some fields; those under "more" too, behind the others."""
    return [_box(drawing, each, f"{above}{each.key}") for each in fields]


def _box(drawing: Drawing, each: Field, name: str) -> Box:
    values = [value for key, value in drawing.typed if key == name and value.strip()]
    options = each.options(drawing.spec) if each.options is not None else []
    if each.kind is Kind.TICKS:  # the ticked ones first, in the order they have in the spec
        words = dict(options)
        options = [(value, words.get(value, value)) for value in dict.fromkeys([*values, *words])]
    return Box(
        field=each,
        name=name,
        value=values[-1] if values else "",
        values=values,
        options=options,
        error=drawing.errors.get(name, ""),
        boxes=boxes_of(drawing, each.fields, f"{name}-") if each.kind is Kind.TABLE else [],
        entries=_entries(drawing, each, name) if each.kind in (Kind.LIST, Kind.PAIRS) else [],
    )


def _entries(drawing: Drawing, each: Field, name: str) -> list[Entry]:
    numbers = numbers_of(drawing.typed, name)
    return [_entry(drawing, each, name, number, number == numbers[-1]) for number in numbers]


def _entry(drawing: Drawing, each: Field, name: str, number: int, last: bool) -> Entry:  # noqa: FBT001 - a view's own
    own = f"{name}-{number}"
    boxes = [_box(drawing, inner, f"{own}-{inner.key}") for inner in each.fields]
    more = [box for box in boxes if box.field.folded]
    return Entry(
        name=own,
        words=f"{each.one} {number + 1}",
        was=next((value for key, value in drawing.typed if key == f"{own}-{WAS}"), ""),
        boxes=[box for box in boxes if not box.field.folded],
        more=more,
        filled=sum(box.says_something for box in more),
        open=any(box.has_mistake for box in more),
        first=number == 0,
        last=last,
        touched=own == drawing.touched,
    )


def labels_of(boxes: Sequence[Box], above: str = "") -> Iterator[tuple[str, str]]:
    """Every field's name with what the page calls it: "Row 2, allowed"."""
    for box in boxes:
        label = f"{above}{box.field.label}"
        yield box.name, label
        yield from labels_of(box.boxes, f"{label}, ")
        for entry in box.entries:
            yield from labels_of((*entry.boxes, *entry.more), f"{above}{entry.words.capitalize()}, ")


def values_in(boxes: Sequence[Box]) -> Iterator[tuple[str, str]]:
    """Every field's name with what is typed in it, in words."""
    for box in boxes:
        words = dict(box.options)
        if box.values:
            yield box.name, ", ".join(words.get(value, value) for value in box.values)
        yield from values_in(box.boxes)
        for entry in box.entries:
            yield from values_in((*entry.boxes, *entry.more))
