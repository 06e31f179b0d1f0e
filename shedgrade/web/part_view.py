"""The form of a part of a spec as its page draws it: boxes to type in, lists of entries, mistakes beside them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.web.draft_fields import Field, Kind
from shedgrade.web.part_form import WAS, Pairs, numbers_of


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a list. ``more`` are the boxes seldom filled; they lie ``open`` where one has a mistake. ``says`` is
    the whole entry in a line, under which it is folded unless it is ``shown``: new, with a mistake, or the only one.
    ``touched`` is what a button has just added or moved."""

    name: str
    words: str
    was: str
    boxes: list["Box"]
    more: list["Box"]
    says: str
    open: bool
    shown: bool
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
    offers: tuple[str, ...]
    boxes: list["Box"]
    entries: list[Entry]

    @property
    def kind(self) -> str:
        """The kind's name, for the template."""
        return self.field.kind.name.lower()

    @property
    def known(self) -> str:
        """The id of the list of words that may be typed in it; "" where there is none."""
        return f"known-{self.field.key}" if self.field.known is not None else ""

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
    """What the boxes are drawn from. ``at`` is the field that somebody was sent to, ``differs`` are those that somebody
    else has saved otherwise meanwhile."""

    spec: Spec
    typed: Pairs
    errors: Mapping[str, str]
    touched: str = ""
    offers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    at: str = ""
    differs: frozenset[str] = frozenset()


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
        offers=drawing.offers.get(name, ()),
        boxes=boxes_of(drawing, each.fields, f"{name}-") if each.kind is Kind.TABLE else [],
        entries=_entries(drawing, each, name) if each.kind in (Kind.LIST, Kind.PAIRS) else [],
    )


def _entries(drawing: Drawing, each: Field, name: str) -> list[Entry]:
    numbers = numbers_of(drawing.typed, name)
    return [_entry(drawing, each, name, number, numbers) for number in numbers]


def _entry(drawing: Drawing, each: Field, name: str, number: int, numbers: Sequence[int]) -> Entry:
    own = f"{name}-{number}"
    boxes = [_box(drawing, inner, f"{own}-{inner.key}") for inner in each.fields]
    more = [box for box in boxes if box.field.folded]
    was = next((value for key, value in drawing.typed if key == f"{own}-{WAS}"), "")
    wanted = [name.startswith(f"{own}-") or name == own for name in (drawing.touched, drawing.at, *drawing.differs)]
    return Entry(
        name=own,
        words=f"{each.one} {number + 1}",
        was=was,
        boxes=[box for box in boxes if not box.field.folded],
        more=more,
        says=says(boxes),
        open=any(box.has_mistake or is_at(drawing, box) for box in more),
        shown=not was or len(numbers) == 1 or any(wanted) or any(box.has_mistake for box in boxes),
        first=number == numbers[0],
        last=number == numbers[-1],
        touched=own == drawing.touched,
    )


def is_at(drawing: Drawing, box: Box) -> bool:
    """Whether somebody was sent into the box, a button touched something in it, or it is stored otherwise."""
    wanted = (drawing.touched, drawing.at, *drawing.differs)
    return any(name == box.name or name.startswith(f"{box.name}-") for name in wanted)


def says(boxes: Sequence[Box]) -> str:
    """What some boxes say together, in a line: "Class I, size A: at most 4 cm²"; "" where nothing is filled in."""
    said = [box.field.says.format(words) for box in boxes if box.field.says and (words := _in_words(box))]
    return ", ".join(said).replace(", :", ":").removeprefix(": ")


def _in_words(box: Box) -> str:
    words = dict(box.options)
    if box.entries:
        inner = (says((*entry.boxes, *entry.more)) for entry in box.entries)
        return "; ".join(each for each in inner if each)
    return listed([words.get(value, value) for value in box.values])


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


def known_words(spec: Spec, fields: Sequence[Field]) -> dict[str, list[str]]:
    """The words that may be typed in these fields and those below them, by the ids of their lists."""
    found: dict[str, list[str]] = {}
    for each in fields:
        if each.known is not None:
            found[f"known-{each.key}"] = each.known(spec)
        found |= known_words(spec, each.fields)
    return found
