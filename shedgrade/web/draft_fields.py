"""What each part of a spec is made of, field by field, as its form asks for it: one description for every form."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import Enum

from shedgrade.domain.source import Mark
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.measure import LABEL_SIZE, OWN_WORDS, By, Take
from shedgrade.domain.spec.model import NO_CLASS, TOO_HEAVY, TOO_LIGHT, Spec
from shedgrade.domain.spec.scale import Rounding
from shedgrade.domain.spec.tolerance import Basis, Scope

Options = Callable[[Spec], list[tuple[str, str]]]


class Kind(Enum):
    """How a field is asked for, and what stands in the tree for it."""

    TEXT = 0
    PARAGRAPHS = 2
    """A list of texts, one a line."""
    WORDS = 3
    """One text or a list, commas between them."""
    CHOICE = 4
    TICKS = 5
    """A list out of what is offered."""
    FLAG = 6
    """Only said where it is true."""
    YES_OR_NO = 7
    TABLE = 8
    PAIRS = 9
    """A table of names and texts: entries of two fields."""
    LIST = 10
    """Entries of the same fields, in order."""


@dataclass(frozen=True, slots=True)
class Field:
    """One key of the tree. ``one`` is what an entry of a list is called. ``folded`` ones are seldom filled and lie
    under "more". Left empty, a field is not said; where that means "as above", a ``dash`` says none. A list that
    ``keeps`` shows a part of its entries only; what it does not show stays with them."""

    key: str
    label: str
    kind: Kind = Kind.TEXT
    hint: str = ""
    options: Options | None = None
    fields: tuple["Field", ...] = ()
    one: str = ""
    folded: bool = False
    keeps: bool = False
    short: bool = False
    dash: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a spec that has a form: where it stands in the tree, and its fields. A part that is itself a list is
    one field of the top."""

    id: str
    title: str
    lead: str
    fields: tuple[Field, ...]
    place: tuple[str | int, ...] = ()


def _fixed(*words: tuple[str, str]) -> Options:
    return lambda _spec: list(words)


def _named(*words: str) -> Options:
    return _fixed(*((word, word) for word in words))


_SOURCE_KEYS = (
    Field("section", "Section", hint="A dash for none.", short=True, dash=True),
    Field("mark", "How it is known", Kind.CHOICE, options=_fixed(*((mark.value, mark.says) for mark in Mark))),
    Field("note", "Note", hint="What the text says, or how the figure was got."),
    Field("standard", "Text it stands in"),
    Field("edition", "Edition", short=True),
    Field("address", "Where it can be read"),
    Field("on", "Day it was read", hint="Such as 2026-03-01.", short=True),
)
_SOURCE = tuple(replace(each, folded=True) for each in _SOURCE_KEYS)
_TO = Field(
    "to",
    "Allowed",
    hint="Such as “<= 4 cm2”, “< 5 %”, “>= 100 g and <= 350 g”, “nil” for none, “any” for no limit.",
    short=True,
)
_ID = Field("id", "Short name for references", hint="Lower-case letters, figures and hyphens, such as skin-marks.")


def _classes(spec: Spec) -> list[tuple[str, str]]:
    return [(each.id, each.name) for each in spec.classes]


def _row_words(spec: Spec) -> list[tuple[str, str]]:
    sizes = dict.fromkeys(band.name for band in spec.scale.bands)
    return [("Classes", ", ".join(each.id for each in spec.classes)), ("Sizes", ", ".join(sizes) or "none")]


def _limits(spec: Spec) -> list[tuple[str, str]]:
    return [(each.id, each.name) for each in spec.limits]


def _sets(spec: Spec) -> list[tuple[str, str]]:
    return [(each.id, each.name) for each in spec.sets]


def _kinds(spec: Spec) -> list[tuple[str, str]]:
    return [(each.id, each.name) for each in spec.crop.kinds]


def _measures(spec: Spec) -> list[tuple[str, str]]:
    return [(each.id, each.name) for each in spec.crop.measures]


def _measurable(spec: Spec) -> list[tuple[str, str]]:
    own = [(word, word) for word in OWN_WORDS]
    return [*_kinds(spec), *own, *_measures(spec), *((each.id, each.name) for each in spec.severities)]


def _looked_up(spec: Spec) -> list[tuple[str, str]]:
    return [("weight", "weight"), *_measures(spec)]


def _cases(spec: Spec) -> list[tuple[str, str]]:
    broken = [(each.id, f"broke the limit of {each.name}") for each in spec.limits if each.level is Level.FRUIT]
    rest = [(TOO_LIGHT, "too small for the tray"), (TOO_HEAVY, "too big for the tray"), (NO_CLASS, "makes no class")]
    return [*rest, *broken]


_TAKES = {
    Take.VALUE: "the figure itself",
    Take.SUM: "all marks added up",
    Take.LARGEST: "the largest single mark",
    Take.PLACES: "in how many places",
    Take.PRESENT: "how many of these are there",
    Take.RATIO: "the first divided by the second",
    Take.SEVERITY: "the step of a severity",
    Take.CODES: "how many sizes it falls in",
    Take.SPREAD: "largest less smallest in a package",
}
_BY = Field(
    "by",
    "By",
    Kind.CHOICE,
    options=_fixed((By.AREA, "area, cm2"), (By.SHARE, "share of the surface, %"), (By.LENGTH, "length, mm")),
)
_MEASURE = (
    Field("of", "What is looked at", Kind.TICKS, options=_measurable),
    Field(
        "take",
        "How the figure is got",
        Kind.CHOICE,
        options=_fixed(*((take.value, say) for take, say in _TAKES.items())),
    ),
    _BY,
    Field(
        "state", "Only marks that are", Kind.WORDS, hint="States of the fruit’s faults, commas between.", folded=True
    ),
    Field(
        "as_on",
        "Scaled to a fruit of",
        Kind.TABLE,
        fields=(
            Field("of", "Measure", Kind.CHOICE, options=_looked_up),
            Field("size", "Size", hint="Such as 63.5 mm.", short=True),
        ),
        folded=True,
    ),
    Field("among", "Only among", Kind.CHOICE, options=_named(LABEL_SIZE), folded=True),
)
_WHEN = Field(
    "when",
    "Only fruit whose",
    Kind.PAIRS,
    one="condition",
    fields=(
        Field("name", "Figure", options=None, hint="A measure, weight, colour stage or a limit’s short name."),
        _TO,
    ),
    folded=True,
)
_ROWS = Field(
    "rows",
    "How much is allowed",
    Kind.LIST,
    hint="The first row that fits a fruit decides. A field left empty fits all. Allowed is written such as “<= 4 cm2”, "
    "“< 5 %”, “>= 100 g and <= 350 g”, “nil” for none, “any” for no limit.",
    options=_row_words,
    one="row",
    fields=(
        Field("class", "Class", Kind.WORDS, short=True),
        Field("size", "Size", Kind.WORDS, short=True),
        replace(_TO, hint=""),
        Field("variety", "Variety", Kind.WORDS, folded=True),
        Field("days", "Days of the year", hint="Such as 12-01 to 02-28.", folded=True, short=True),
        Field("stage", "Stage of marketing", Kind.WORDS, folded=True),
        Field("destination", "Destination", Kind.WORDS, folded=True),
        Field("grown_in", "Grown in", Kind.WORDS, folded=True),
        Field("presentation", "Presentation", Kind.WORDS, folded=True),
        _WHEN,
        *_SOURCE,
    ),
)
_LIMIT = (
    Field("name", "Name"),
    _ID,
    Field(
        "level",
        "Held against",
        Kind.CHOICE,
        options=_fixed(
            (Level.PACKAGE, "the fruit of one package"), (Level.TOLERATED, "only fruit a tolerance lets in")
        ),
        hint="Left empty: every fruit.",
        folded=True,
    ),
    *_MEASURE,
    _ROWS,
    Field(
        "or_else",
        "Other ways to satisfy it",
        Kind.LIST,
        one="way",
        fields=(*_MEASURE, _ROWS),
        folded=True,
    ),
    *_SOURCE,
)


def _part_fields(depth: int) -> tuple[Field, ...]:
    """The figure of a tolerance, and so many more inside each other."""
    inner = (
        Field("within", "Of which", Kind.LIST, one="part", fields=(*_part_fields(depth - 1), *_SOURCE))
        if depth
        else None
    )
    return (
        Field("of", "Fruit counted", Kind.TICKS, options=_sets),
        Field("to", "How much of them", hint="Such as “<= 10 %”, “<= 1”, “nil”.", short=True),
        Field("package_times", "A single package up to so many times", folded=True, short=True),
        Field("still", "They must still hold", Kind.TICKS, options=_limits, folded=True),
        *((inner,) if inner is not None else ()),
    )


_TITLE = Part(
    "title",
    "Title and source",
    "What the spec is called, and the text it comes from.",
    (
        Field("title", "Title"),
        Field("edition", "Edition", short=True),
        Field("notes", "Notes for whoever reads it", Kind.PARAGRAPHS, hint="One a line."),
        Field(
            "source",
            "Where it comes from",
            Kind.TABLE,
            fields=(
                Field("standard", "Text it stands in"),
                *(each for each in _SOURCE_KEYS if each.key != "standard"),
            ),
        ),
    ),
)
_CLASSES = Part(
    "classes",
    "Classes",
    "Best first.",
    (
        Field(
            "class",
            "Classes",
            Kind.LIST,
            one="class",
            fields=(Field("name", "Name"), Field("id", "Short name", short=True)),
        ),
    ),
)
_SIZES = Part(
    "sizes",
    "Sizes",
    "The size table. Take every band out to have no sizes.",
    (
        Field("of", "By", Kind.CHOICE, options=_looked_up),
        Field("rounding", "Rounded", Kind.CHOICE, options=_named(*(each.value for each in Rounding))),
        Field(
            "count_in",
            "As how many fruit make",
            hint="Such as 3000 g; left empty, bands are figures themselves.",
            short=True,
        ),
        Field(
            "bands",
            "Bands",
            Kind.LIST,
            one="band",
            fields=(
                Field("name", "Size", short=True),
                Field("to", "From and to", hint="Such as “>= 200 g and <= 350 g”.", short=False),
                Field("variety", "Variety", Kind.WORDS, folded=True),
                *_SOURCE,
            ),
        ),
        *_SOURCE,
    ),
    ("scale",),
)
_ORDER = Part(
    "limits",
    "Order of the limits",
    "Take a limit out, or change the order in which they are read.",
    (Field("limit", "Limits", Kind.LIST, one="limit", keeps=True, fields=(Field("name", "Name"),)),),
)
_SEVERITIES = Part(
    "severities",
    "Severities",
    "How bad a fault is, in steps from mild to severe. The first step that fits counts.",
    (
        Field(
            "severity",
            "Severities",
            Kind.LIST,
            one="severity",
            fields=(
                Field("name", "Name"),
                _ID,
                Field("of", "Of", Kind.TICKS, options=_kinds),
                Field(
                    "take",
                    "How the figure is got",
                    Kind.CHOICE,
                    options=_fixed(*((take.value, _TAKES[take]) for take in (Take.SUM, Take.LARGEST, Take.PLACES))),
                ),
                _BY,
                Field("steps", "Steps", Kind.LIST, one="step", fields=(Field("name", "Name"), _TO, *_SOURCE)),
                *_SOURCE,
            ),
        ),
    ),
)
_SETS = Part(
    "sets",
    "What tolerances count",
    "Named sets of fruit. A fruit is in a set if at least one of its conditions holds.",
    (
        Field(
            "set",
            "Sets",
            Kind.LIST,
            one="set",
            fields=(
                Field("name", "Name"),
                _ID,
                Field("below", "Does not make", Kind.CHOICE, options=_classes),
                Field("meets", "Makes, or better", Kind.CHOICE, options=_classes),
                Field("breaks", "Breaks a limit of", Kind.TICKS, options=_limits, folded=True),
                Field("as_class", "As written for", Kind.CHOICE, options=_classes, folded=True),
                Field("has", "Has", Kind.TICKS, options=_kinds, folded=True),
                Field("sets", "Is in an earlier set", Kind.TICKS, options=_sets, folded=True),
                Field("other_size", "Has not the size on the label", Kind.FLAG),
                *_SOURCE,
            ),
        ),
    ),
)
_TOLERANCES = Part(
    "tolerances",
    "Tolerances",
    "How many fruit may be other than the class says.",
    (
        Field(
            "tolerance",
            "Tolerances",
            Kind.LIST,
            one="tolerance",
            fields=(
                Field("name", "Name"),
                _ID,
                Field("class", "For the classes", Kind.TICKS, hint="None ticked: for all.", options=_classes),
                Field("basis", "Counted by", Kind.TICKS, options=_named(*(each.value for each in Basis))),
                Field(
                    "scope", "Out of", Kind.CHOICE, options=_fixed(*((each.value, f"a {each.value}") for each in Scope))
                ),
                *_part_fields(3),
                *_SOURCE,
            ),
        ),
    ),
)
_OUTLETS = Part(
    "outlets",
    "Outlets",
    "Where fruit goes that makes no class or does not fit the tray. The first that takes it gets it.",
    (
        Field(
            "outlet",
            "Outlets",
            Kind.LIST,
            one="outlet",
            fields=(
                Field("name", "Name"),
                _ID,
                Field("packed", "Counts as packed", Kind.YES_OR_NO),
                Field("takes", "Takes fruit that", Kind.TICKS, options=_cases),
                *_SOURCE,
            ),
        ),
    ),
)
NEW_LIMIT = "new-limit"
_OF_LIMIT = "limit-"
_WHOLE: Mapping[str, Part] = {
    part.id: part for part in (_TITLE, _CLASSES, _SIZES, _ORDER, _SEVERITIES, _SETS, _TOLERANCES, _OUTLETS)
}


def limit_part(limit_id: str) -> str:
    """The id of a limit's part."""
    return f"{_OF_LIMIT}{limit_id}"


def part_of(spec: Spec, part_id: str) -> Part | None:
    """The part of that id, a limit's by the limit's own; None where the spec has none such."""
    if part_id == NEW_LIMIT:
        return Part(
            NEW_LIMIT, "A new limit", "What is looked at, and how much is allowed.", _LIMIT, ("limit", len(spec.limits))
        )
    for number, limit in enumerate(spec.limits):
        if part_id == limit_part(limit.id):
            return Part(
                part_id,
                f"Limit: {limit.name}",
                "What is looked at, and how much is allowed.",
                _LIMIT,
                ("limit", number),
            )
    return _WHOLE.get(part_id)


def parts_of(spec: Spec) -> list[tuple[str, str, str]]:
    """Every part with a form: its id, title and what there is of it."""
    counts = {
        "classes": len(spec.classes),
        "sizes": len(spec.scale.bands),
        "severities": len(spec.severities),
        "sets": len(spec.sets),
        "tolerances": len(spec.tolerances),
        "outlets": len(spec.outlets),
    }
    limits = [(limit_part(each.id), f"Limit: {each.name}", "") for each in spec.limits]
    listed = {
        key: (key, part.title, str(counts[key] or "none") if key in counts else "") for key, part in _WHOLE.items()
    }
    first, last = ("title", "classes", "sizes"), ("severities", "sets", "tolerances", "outlets")
    return [
        *(listed[key] for key in first),
        *limits,
        (NEW_LIMIT, "Add a limit", ""),
        listed["limits"],
        *(listed[key] for key in last),
    ]


FIELD_NAMES = tuple(
    dict.fromkeys(f"{each.key}*" for fields in (_LIMIT, *(part.fields for part in _WHOLE.values())) for each in fields)
)
"""The families of names that any of these forms sends."""
