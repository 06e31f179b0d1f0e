"""One fruit as it was typed or stands in a file: every field read, every mistake kept beside its field."""

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TypeVar

from shedgrade.domain import entry
from shedgrade.domain.crop import Crop, CropMeasure, DefectKind, Measured, TakenOn
from shedgrade.domain.entry import EntryError
from shedgrade.domain.entry.errors import shown
from shedgrade.domain.grading.facts import NOTHING_SAID, Defect, Fruit, Load, blemish_surface_mm2
from shedgrade.domain.grading.one import borne_out, size_codes, sized_as
from shedgrade.domain.spec.asked import asked
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import BP, say_area

WEIGHT = "weight"
STAGE = "stage"
SIZE_CODE = "size_code"

_TEXTS_KEPT = 8192
_HUGE_DG = 1_000_000
MOST_PLACES = 1000
_MOST_MARKS = 50

T = TypeVar("T")

_ZERO = re.compile(r"0+(?:[.,]0*)?\s*(?:%|[cm]m(?:2|²|\^2)?)?", re.IGNORECASE)
_THERE = frozenset({"yes", "y", "x", "1", "true", "there"})
_NOT_THERE = frozenset({"", "no", "n", "0", "false", "nil", "none", "-"})


class FruitMistakes(ValueError):  # noqa: N818 - it holds all the mistakes of a fruit, not one error
    """A fruit that cannot be taken: ``by_field`` names for each field ("weight", "stage", "size_code", a measure of the
    crop or a defect kind) what was found and what would be accepted; ``meant`` is the weight likely meant, as typed,
    or ""."""

    def __init__(self, by_field: Mapping[str, str], meant: str = "") -> None:
        self.by_field = by_field
        self.meant = meant
        super().__init__(" ".join(by_field.values()))


@dataclass(frozen=True, slots=True)
class Typed:
    """The fields of a fruit as typed. ``marks`` holds the figure of a measured kind, several of one kind as "10 + 5",
    or a word for one that is just there or not; ``ticked`` the kinds seen, whether or not a figure stands beside them;
    ``states`` the states ticked of a kind; ``measures`` what else was taken, by the crop's measure."""

    weight: str
    stage: str = ""
    size_code: str = ""
    marks: Mapping[str, str] = field(default_factory=dict)
    ticked: Collection[str] = ()
    states: Mapping[str, Collection[str]] = field(default_factory=dict)
    measures: Mapping[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class FruitReader:
    """Reads fruit of one crop. ``by_share`` are kinds typed as a share although the crop measures their area;
    ``by_area`` the other way round. ``states_of`` are the kinds whose states somebody looks at: of the others nobody
    knows them."""

    crop: Crop
    spec: Spec | None = None
    stage_needed: bool = False
    looked_for: frozenset[str] | None = None
    by_share: frozenset[str] = frozenset()
    by_area: frozenset[str] = frozenset()
    states_of: frozenset[str] = frozenset()
    load: Load = NOTHING_SAID
    _plausible: tuple[int, int | None, str] = field(init=False)
    _known: frozenset[str] = field(init=False)
    _stages: tuple[int, ...] = field(init=False)
    _measures: dict[str, CropMeasure] = field(init=False)

    def __post_init__(self) -> None:
        """Look up once what every fruit is held against."""
        self._plausible = (self.crop.lightest_dg, self.crop.heaviest_dg, self.crop.name.lower())
        self._known = frozenset(kind.id for kind in self.crop.kinds)
        self._stages = tuple(sorted(stage.number for stage in self.crop.stages))
        self._measures = {each.id: each for each in self.crop.measures if each.on is TakenOn.FRUIT}

    @classmethod
    def at_the_bench(cls, spec: Spec, load: Load = NOTHING_SAID) -> "FruitReader":
        """For fruit of a load that will be judged under the spec: the colour is needed where a limit asks for it."""
        wanted = asked(spec)
        return cls(spec.crop, spec, stage_needed=wanted.colour, states_of=frozenset(wanted.states), load=load)

    def read(self, typed: Typed) -> tuple[Fruit, str | None]:
        """The fruit, and the size code on its pack if one was named; FruitMistakes."""
        errors: dict[str, str] = {}
        weighed = _read_weight(typed.weight, *self._plausible)
        weight_dg = _noted(weighed, WEIGHT, errors)
        stage = self._stage(typed.stage, errors)
        defects = self._defects(typed, weight_dg, errors)
        measures = self._taken(typed, errors)
        fruit = None if weight_dg is None else Fruit(weight_dg, stage, defects, self.looked_for, measures)
        code = self._size_code(typed.size_code.strip(), fruit, errors)
        if fruit is None or errors:
            raise FruitMistakes(errors, weighed.meant if isinstance(weighed, EntryError) else "")
        return fruit, code

    def _taken(self, typed: Typed, errors: dict[str, str]) -> tuple[tuple[str, int], ...]:
        """What else was taken of this fruit; nothing typed means not taken."""
        found: list[tuple[str, int]] = []
        for name, text in sorted(typed.measures.items()):
            if name not in self._measures:
                errors[name] = (
                    f"{self.crop.name} has no measure {shown(name)} of a single fruit; choose one that is shown."
                )
            elif text.strip():
                value = _noted(_read_figure(text, self._measures[name]), name, errors)
                found += [] if value is None else [(name, value)]
        return tuple(found)

    def _stage(self, text: str, errors: dict[str, str]) -> int | None:
        if not text.strip():
            if self.stage_needed:
                errors[STAGE] = "The spec judges this fruit by its colour: choose a colour stage."
            return None
        if not self._stages:
            errors[STAGE] = f"{self.crop.name} has no colour scale here; leave the colour stage empty."
            return None
        return _noted(_read_stage(text, self._stages), STAGE, errors)

    def _size_code(self, code: str, fruit: Fruit | None, errors: dict[str, str]) -> str | None:
        if not code or self.spec is None or fruit is None:
            return code or None
        if borne_out(self.spec, fruit, code, self.load) is None:
            errors[SIZE_CODE] = _not_that_size(self.spec, fruit, code, self.load)
        return code

    def _defects(self, typed: Typed, weight_dg: int | None, errors: dict[str, str]) -> tuple[Defect, ...]:
        if not typed.marks and not typed.ticked and not typed.states:
            return ()
        for name in (*typed.marks, *typed.ticked, *typed.states):
            if name not in self._known:
                errors[name] = f"{self.crop.name} has no defect kind {shown(name)}; choose one that is shown."
        touched = {*typed.marks, *typed.ticked, *(name for name, states in typed.states.items() if states)}
        entered = [kind for kind in self.crop.kinds if kind.id in touched]
        defects = tuple(mark for kind in entered for mark in self._marks(kind, typed, weight_dg, errors))
        if weight_dg is not None and defects:
            _refuse_too_much(defects, weight_dg, errors)
        return defects

    def _marks(
        self, kind: DefectKind, typed: Typed, weight_dg: int | None, errors: dict[str, str]
    ) -> tuple[Defect, ...]:
        """The marks of one kind; the states ticked go for all of them."""
        measure, text = self._measure(kind), typed.marks.get(kind.id, "").strip()
        states = frozenset(typed.states.get(kind.id, ())) if kind.id in self.states_of else None
        if measure is Measured.PRESENT:
            there = _noted(is_there(text), kind.id, errors)
            return (Defect(kind.id, states=states),) if there or kind.id in typed.ticked or states else ()
        if not text or _ZERO.fullmatch(text):
            if kind.id in typed.ticked or states:
                errors[kind.id] = _how_much(kind, measure, ticked=kind.id in typed.ticked)
            return ()
        parts = _noted(_each_mark(text), kind.id, errors) or ()
        read = [_noted(self._figure(measure, part, weight_dg), kind.id, errors) for part in parts]
        return tuple(Defect(kind.id, **{_HELD_IN[measure]: each}, states=states) for each in read if each is not None)

    def _figure(self, measure: Measured, text: str, weight_dg: int | None) -> int | EntryError:
        if measure is Measured.SHARE:
            return _read_share(text)
        if measure is Measured.LENGTH:
            return _read_length(text)
        return _read_places(text) if measure is Measured.PLACES else self._area(text, weight_dg)

    def _area(self, text: str, weight_dg: int | None) -> int | EntryError:
        """Read against a surface no fruit has, then held against the fruit's own, so that each text is read once."""
        area = _read_area(text, blemish_surface_mm2(_HUGE_DG))
        surface = blemish_surface_mm2(weight_dg or self.crop.heaviest_dg or _HUGE_DG)
        return _read_area(text, surface) if isinstance(area, EntryError) or area > surface else area

    def _measure(self, kind: DefectKind) -> Measured:
        if kind.id in self.by_share:
            return Measured.SHARE
        return Measured.AREA if kind.id in self.by_area else kind.measure


_HELD_IN = {
    Measured.AREA: "area_mm2",
    Measured.SHARE: "share_bp",
    Measured.LENGTH: "length_dmm",
    Measured.PLACES: "places",
}
_HOW_MUCH = {
    Measured.AREA: "area in cm²",
    Measured.SHARE: "share of the surface in %",
    Measured.LENGTH: "length in mm",
    Measured.PLACES: "number of places",
}


def _how_much(kind: DefectKind, measure: Measured, *, ticked: bool) -> str:
    """What to do about a kind without a figure: one that was touched can be lifted, a state in a file cannot."""
    lift = ", or touch it again to lift it" if ticked else ""
    return f"{kind.name}: type its {_HOW_MUCH[measure]}{lift}."


@lru_cache(maxsize=_TEXTS_KEPT)
def _each_mark(text: str) -> tuple[str, ...] | EntryError:
    """The marks of a kind in one field, "10 + 5 + 3 mm"; one unit goes for all that have none."""
    parts = [part.strip() for part in text.removeprefix("+").split("+")]
    if len(parts) == 1:
        return (text,)
    if len(parts) > _MOST_MARKS:
        return EntryError(f"{len(parts)} marks are too many", f"at most {_MOST_MARKS} of a kind are accepted")
    if not all(parts):
        return EntryError(
            f"{shown(text)} has a plus with nothing beside it", '"10 + 5 + 3" is accepted for three marks'
        )
    units = {part.lstrip(_OF_NUMBERS) for part in parts}
    named = units - {""}
    if len(named) > 1 and "" in units:
        return EntryError(f"{shown(text)} has two units and a figure without one", "a unit behind each is accepted")
    unit = next(iter(named), "")
    return tuple(part if part.lstrip(_OF_NUMBERS) else f"{part} {unit}".strip() for part in parts)


_OF_NUMBERS = "0123456789., "


def _not_that_size(spec: Spec, fruit: Fruit, code: str, load: Load) -> str:
    """What was found and which sizes are accepted; by the figure that the size table goes by."""
    codes, sized = size_codes(spec, fruit, load), sized_as(spec, fruit, load)
    if not sized:
        return f"{shown(code)} is no size of this spec; {' or '.join(spec.scale.names)} is accepted."
    accepted = f"size {' or '.join(codes)} is accepted" if codes else "it has no size code, leave this empty"
    return f"{sized[0].upper()}{sized[1:]} is not size {shown(code)}; {accepted}."


def _noted(value: T | EntryError, name: str, errors: dict[str, str]) -> T | None:
    if isinstance(value, EntryError):
        errors[name] = str(value)
        return None
    return value


def _or_mistake(read: Callable[[], T]) -> T | EntryError:
    try:
        return read()
    except EntryError as mistake:
        return mistake


# A file repeats the same texts a hundred thousand times; the mistakes are kept with the values.
@lru_cache(maxsize=_TEXTS_KEPT)
def _read_weight(text: str, lightest_dg: int, heaviest_dg: int | None, name: str) -> int | EntryError:
    return _or_mistake(lambda: entry.weight(text, lightest_dg=lightest_dg, heaviest_dg=heaviest_dg, fruit_name=name))


@lru_cache(maxsize=_TEXTS_KEPT)
def _read_stage(text: str, stages: tuple[int, ...]) -> int | EntryError:
    return _or_mistake(lambda: entry.stage(text, stages=stages))


@lru_cache(maxsize=_TEXTS_KEPT)
def _read_area(text: str, largest_mm2: int) -> int | EntryError:
    return _or_mistake(lambda: entry.area(text, largest_mm2=largest_mm2))


@lru_cache(maxsize=_TEXTS_KEPT)
def _read_share(text: str) -> int | EntryError:
    return _or_mistake(lambda: entry.share(text))


@lru_cache(maxsize=_TEXTS_KEPT)
def _read_length(text: str) -> int | EntryError:
    return _or_mistake(lambda: entry.length(text))


@lru_cache(maxsize=_TEXTS_KEPT)
def _read_places(text: str) -> int | EntryError:
    return _or_mistake(lambda: entry.whole(text, least=1, most=MOST_PLACES))


@lru_cache(maxsize=_TEXTS_KEPT)
def _read_figure(text: str, measure: CropMeasure) -> int | EntryError:
    return _or_mistake(lambda: entry.figure(text, measure))


def is_there(text: str) -> bool | EntryError:
    """Whether a word says that something is there; an EntryError, given and not raised, for any other word."""
    word = text.strip().lower()
    if word in _THERE or word in _NOT_THERE:
        return word in _THERE
    return EntryError(f"{shown(text)} does not say whether it is there", "yes or no is accepted")


def _refuse_too_much(defects: tuple[Defect, ...], weight_dg: int, errors: dict[str, str]) -> None:
    """Blemishes lie side by side: together they cannot cover more than the fruit has."""
    surface = blemish_surface_mm2(weight_dg)
    covered = sum((defect.area_mm2 or 0) * BP + (defect.share_bp or 0) * surface for defect in defects)
    if covered > surface * BP and not errors:
        last = next(defect for defect in reversed(defects) if defect.is_measured)
        errors[last.kind] = (
            f"Together that is more than the whole surface of this fruit, {say_area(surface)}; "
            "at most that much is accepted."
        )
