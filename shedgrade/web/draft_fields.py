"""What each part of a spec is made of, field by field, as its form asks for it: one description for every form."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import Enum

from shedgrade.domain.source import Mark
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.measure import LABEL_SIZE, By, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.scale import Rounding
from shedgrade.domain.spec.tolerance import Basis, Scope
from shedgrade.web import draft_options

Options = Callable[[Spec], list[tuple[str, str]]]
Words = Callable[[Spec], list[str]]


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
    BOUND = 11
    """How much is allowed, as people write it."""
    FIGURE = 12
    """One figure with its unit, as people write it."""


@dataclass(frozen=True, slots=True)
class Field:
    """One key of the tree. ``one`` is what an entry of a list is called. ``folded`` ones are seldom filled and lie
    under "more". Left empty, a field is not said; where that means "as above", a ``dash`` says none. A list that
    ``keeps`` shows a part of its entries only; what it does not show stays with them. The entries of one that ``folds``
    lie under a line that says what they say: ``says`` is how a field stands in it, "" for one that does not.
    ``empty`` is what a choice offers first, ``known`` are words that may be typed, ``counted`` is what a number
    without a unit counts."""

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
    folds: bool = False
    says: str = "{}"
    empty: str = "…"
    known: Words | None = None
    counted: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a spec that has a form: where it stands in the tree, and its fields. A part that is itself a list is
    one field of the top. ``begun`` is what its form holds before anybody types, beside what stands in the tree."""

    id: str
    title: str
    lead: str
    fields: tuple[Field, ...]
    place: tuple[str | int, ...] = ()
    begun: tuple[tuple[str, str], ...] = ()


SECOND = "second"
"""Of the form only: by which of two measures the other is divided. In the tree both stand under one key."""
_ROUNDED = {
    Rounding.NONE: "not at all",
    Rounding.HALF_UP_TO_THE_GRAM: "to the gram, halves up",
    Rounding.HALF_UP_TO_THE_MILLIMETRE: "to the millimetre, halves up",
    Rounding.HALF_UP_TO_THE_WHOLE: "to the whole number, halves up",
}


def _fixed(*words: tuple[str, str]) -> Options:
    return lambda _spec: list(words)


def _named(*words: str) -> Options:
    return _fixed(*((word, word) for word in words))


_SOURCE_KEYS = (
    Field(
        "section", "Section", hint="Where it stands in the text, such as 3.2. A dash for none.", short=True, dash=True
    ),
    Field("mark", "How it is known", Kind.CHOICE, options=_fixed(*((mark.value, mark.says) for mark in Mark))),
    Field("note", "Note", hint="What the text says, or how the figure was got."),
    Field("standard", "Text it stands in"),
    Field("edition", "Edition", short=True),
    Field("address", "Where it can be read"),
    Field("on", "Day it was read", hint="Such as 2026-03-01.", short=True),
)
_SOURCE = tuple(replace(each, folded=True, says="") for each in _SOURCE_KEYS)
_TO = Field(
    "to",
    "Allowed",
    Kind.BOUND,
    hint="Such as “at most 4 cm²”, “under 5 %”, “from 100 g to 350 g”, “none”, or “any” for no limit.",
    says=": {}",
)
_NAME = Field("name", "Name", says="{}")
_ID = Field(
    "id",
    "Short name",
    hint="By it other parts of the spec speak of this. Left empty, it is made from the name.",
    folded=True,
    says="",
)
_TAKES = {
    Take.SUM: "all marks together, added up",
    Take.LARGEST: "only the largest single mark",
    Take.PLACES: "the number of places they are in",
    Take.PRESENT: "whether they are there, and how many of them",
    Take.VALUE: "the figure as it was measured",
    Take.RATIO: "one figure divided by another",
    Take.SEVERITY: "the step of a severity",
    Take.CODES: "the number of sizes a fruit falls in",
    Take.SPREAD: "how far the fruit of a package differ",
}
_TAKE, _AS_USUAL = "What of it counts", "as usual: marks added up, a figure as it was measured"
_BY = Field(
    "by",
    "Marks are measured by",
    Kind.CHOICE,
    options=_fixed((By.AREA, "area, cm²"), (By.SHARE, "share of the surface, %"), (By.LENGTH, "length, mm")),
    hint="Only for marks that are added up, or the largest of them.",
    empty="as usual: as these faults are measured at the bench",
    folded=True,
)
_MEASURE = (
    Field(
        "of",
        "What is looked at",
        Kind.TICKS,
        hint="Tick every fault that counts together, or one figure such as weight.",
        options=draft_options.measurable,
    ),
    Field(
        "take",
        _TAKE,
        Kind.CHOICE,
        options=_fixed(*((take.value, say) for take, say in _TAKES.items())),
        empty=_AS_USUAL,
    ),
    _BY,
    Field(
        SECOND,
        "Divided by",
        Kind.CHOICE,
        options=draft_options.measures,
        hint="Only for one figure divided by another. Sugar to acid: tick sugar above, choose acid here.",
        empty="nothing",
        folded=True,
        says="divided by {}",
    ),
    Field(
        "state",
        "Only marks that are",
        Kind.WORDS,
        hint="Such as progressive; several with commas between. Left empty: all marks.",
        known=draft_options.states,
        folded=True,
    ),
    Field(
        "as_on",
        "Marks counted as on a fruit of",
        Kind.TABLE,
        hint="Where a text gives the area for one size of fruit, and a larger fruit may have more.",
        fields=(
            Field("of", "Sized by", Kind.CHOICE, options=draft_options.looked_up, empty="nothing: as they are"),
            Field("size", "How big", Kind.FIGURE, hint="Such as 63.5 mm.", short=True),
        ),
        folded=True,
        says="",
    ),
    Field(
        "among",
        "Which fruit of the package are compared",
        Kind.CHOICE,
        options=_fixed((LABEL_SIZE, "only those of the size on the label")),
        empty="all of them",
        folded=True,
    ),
)
_WHEN = Field(
    "when",
    "Only fruit whose",
    Kind.PAIRS,
    hint="Where the row speaks only of some fruit by another figure, such as a weight under 85 g.",
    one="condition",
    fields=(
        Field("name", "Figure", Kind.CHOICE, options=draft_options.switches),
        replace(_TO, label="Is", hint="Such as “under 85 g”.", says="is {}"),
    ),
    folded=True,
    says="where {}",
)
_VARIETY = Field(
    "variety",
    "Variety",
    Kind.WORDS,
    hint="Several with commas between. Left empty: all.",
    known=draft_options.varieties,
    folded=True,
)
_ROWS = Field(
    "rows",
    "How much is allowed",
    Kind.LIST,
    hint="Write it as you would say it: “at most 4 cm²”, “under 5 %”, “from 100 g to 350 g”, “none”, or “any” for no "
    "limit. A row for each class or size that is allowed something else; of rows that fit, the first decides.",
    options=draft_options.row_words,
    one="row",
    folds=True,
    fields=(
        Field("class", "Classes", Kind.TICKS, hint="None ticked: every class.", options=draft_options.classes),
        Field(
            "size",
            "Size",
            Kind.WORDS,
            hint="Left empty: every size.",
            known=draft_options.sizes,
            short=True,
            says="size {}",
        ),
        replace(_TO, hint="Such as “at most 4 cm²”."),
        _VARIETY,
        Field(
            "days",
            "Days of the year",
            hint="Month and day of the first and the last, such as 12-01 to 02-28 for December to February.",
            folded=True,
            short=True,
        ),
        Field(
            "stage",
            "Stage of marketing",
            Kind.WORDS,
            hint="Such as packing.",
            known=draft_options.stages,
            folded=True,
            says="at {}",
        ),
        Field("destination", "Destination", Kind.WORDS, known=draft_options.destinations, folded=True, says="to {}"),
        Field("grown_in", "Grown in", Kind.WORDS, known=draft_options.grown_in, folded=True, says="grown in {}"),
        Field(
            "presentation",
            "How it is packed",
            Kind.WORDS,
            hint="Such as in layers.",
            known=draft_options.presentations,
            folded=True,
            says="presented {}",
        ),
        _WHEN,
        *_SOURCE,
    ),
)
_LIMIT = (
    Field("name", "Name", hint="What to call it on pages, such as skin marks, or dry matter."),
    *_MEASURE[:2],
    _ROWS,
    _ID,
    Field(
        "level",
        "Which fruit it is asked of",
        Kind.CHOICE,
        options=_fixed(
            (Level.PACKAGE, "the fruit of one package, compared"), (Level.TOLERATED, "only fruit a tolerance lets in")
        ),
        empty="every fruit",
        folded=True,
    ),
    *_MEASURE[2:],
    Field(
        "or_else",
        "Other ways to satisfy it",
        Kind.LIST,
        hint="Such as a dry matter of at least 15 %, where the sugar alone is not enough.",
        one="way",
        folds=True,
        fields=(*_MEASURE, _ROWS),
        folded=True,
    ),
    *_SOURCE,
)


def _part_fields(depth: int) -> tuple[Field, ...]:
    """The figure of a tolerance, and so many more inside each other."""
    inner = (
        Field(
            "within",
            "Of which",
            Kind.LIST,
            hint="A smaller share inside this one, such as “of which at most 1 % with rot”.",
            one="part",
            folds=True,
            fields=(*_part_fields(depth - 1), *_SOURCE),
            says="of which {}",
        )
        if depth
        else None
    )
    return (
        Field(
            "to",
            "How many are let in",
            Kind.BOUND,
            hint="A share such as “at most 10 %”, a number such as “at most 1 fruit”, or “none”.",
            counted="fruit",
            says=": {}",
        ),
        Field("of", "Which fruit are counted", Kind.TICKS, options=draft_options.sets, says=": {}"),
        Field(
            "package_times",
            "One package may have so many times that",
            hint="Such as 2: 10 % of the lot, and up to 20 % of any one package. Only for a share of the lot.",
            folded=True,
            short=True,
            says="one package up to {} times that",
        ),
        Field(
            "still",
            "Limits that even these fruit must meet",
            Kind.TICKS,
            options=draft_options.limits,
            folded=True,
            says="which must still meet {}",
        ),
        Field(
            "next_size",
            "Only fruit of the next size up or down",
            Kind.FLAG,
            folded=True,
            says="which must be of the next size up or down",
        ),
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
            fields=(
                Field("name", "Name"),
                Field("id", "Short name", hint="Such as I. Left empty, it is made from the name.", short=True),
            ),
        ),
    ),
)
_SIZES = Part(
    "sizes",
    "Sizes",
    "The size table. Take every size out to have none.",
    (
        Field("of", "Sized by", Kind.CHOICE, options=draft_options.looked_up),
        Field(
            "rounding",
            "Rounded before it is looked up",
            Kind.CHOICE,
            options=_fixed(*((each.value, _ROUNDED[each]) for each in Rounding)),
        ),
        Field(
            "count_in",
            "Fruit counted in a weight of",
            Kind.FIGURE,
            hint="Such as 3 kg, where a size is a number of fruit in that weight. Left empty: sizes are figures "
            "themselves.",
            short=True,
        ),
        Field(
            "bands",
            "Sizes",
            Kind.LIST,
            one="size",
            folds=True,
            fields=(
                Field("name", "Size", hint="As on the label, such as A or 18.", short=True),
                replace(
                    _TO, label="From and to", hint="Such as “200-350 g”, “over 350 g to 550 g” or “at least 35 mm”."
                ),
                _VARIETY,
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
            folds=True,
            fields=(
                _NAME,
                Field("of", "Which faults", Kind.TICKS, options=draft_options.kinds),
                Field(
                    "take",
                    _TAKE,
                    Kind.CHOICE,
                    options=_fixed(*((take.value, _TAKES[take]) for take in (Take.SUM, Take.LARGEST, Take.PLACES))),
                    empty=_AS_USUAL,
                ),
                _BY,
                Field(
                    "steps",
                    "Steps",
                    Kind.LIST,
                    hint="Mild first, without a gap between them.",
                    one="step",
                    folds=True,
                    fields=(
                        Field("name", "Name", hint="Such as slight."),
                        replace(_TO, label="How much", hint="Such as “under 1 cm²”, then “from 1 cm² to 3 cm²”."),
                        *_SOURCE,
                    ),
                ),
                _ID,
                *_SOURCE,
            ),
        ),
    ),
)
_SETS = Part(
    "sets",
    "What tolerances count",
    "Named sets of fruit, such as “not of Class I” or “with rot”. A fruit is in one if at least one of its conditions "
    "holds.",
    (
        Field(
            "set",
            "Sets of fruit",
            Kind.LIST,
            one="set",
            folds=True,
            fields=(
                replace(_NAME, hint="Such as “not of Class I”."),
                Field(
                    "below",
                    "Fruit that do not make",
                    Kind.CHOICE,
                    options=draft_options.classes,
                    empty="not asked",
                    says="do not make {}",
                ),
                Field(
                    "meets",
                    "Fruit that make, or better",
                    Kind.CHOICE,
                    options=draft_options.classes,
                    empty="not asked",
                    says="make {} or better",
                ),
                Field("other_size", "Fruit that have not the size on the label", Kind.FLAG, says="of another size"),
                Field("has", "Fruit that have", Kind.TICKS, options=draft_options.kinds, folded=True, says="have {}"),
                Field(
                    "breaks",
                    "Fruit that break the limit of",
                    Kind.TICKS,
                    options=draft_options.limits,
                    folded=True,
                    says="break the limit of {}",
                ),
                Field(
                    "as_class",
                    "That limit as written for",
                    Kind.CHOICE,
                    options=draft_options.classes,
                    hint="Only with a limit ticked above.",
                    empty="the class packed as",
                    folded=True,
                    says="as for {}",
                ),
                Field(
                    "sets",
                    "Fruit of a set above",
                    Kind.TICKS,
                    options=draft_options.sets,
                    folded=True,
                    says="are in {}",
                ),
                _ID,
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
            folds=True,
            fields=(
                replace(_NAME, hint="Such as “quality, Class I”."),
                Field(
                    "class",
                    "For the classes",
                    Kind.TICKS,
                    hint="None ticked: for all.",
                    options=draft_options.classes,
                    says="for {}",
                ),
                _part_fields(3)[0],
                Field(
                    "basis",
                    "Counted by",
                    Kind.TICKS,
                    hint="Both ticked: whoever inspects says beforehand which.",
                    options=_named(*(each.value for each in Basis)),
                    says="by {}",
                ),
                Field(
                    "scope",
                    "Out of the fruit of",
                    Kind.CHOICE,
                    options=_fixed(*((each.value, f"a {each.value}") for each in Scope)),
                    says="of {}",
                ),
                *_part_fields(3)[1:],
                _ID,
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
            folds=True,
            fields=(
                _NAME,
                Field("packed", "Counts as packed", Kind.YES_OR_NO, says="packed"),
                Field(
                    "takes",
                    "Takes fruit that",
                    Kind.TICKS,
                    options=draft_options.cases,
                    hint="One outlet must take what makes no class.",
                    says="takes fruit that {}",
                ),
                _ID,
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
            NEW_LIMIT,
            "A new limit",
            "For at most 4 cm² of skin marks in Class I, tick the marks, then Class I, and write “at most 4 cm²”.",
            _LIMIT,
            ("limit", len(spec.limits)),
            begun=(("rows-0-was", ""),),
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
