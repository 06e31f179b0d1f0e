"""One fruit as it was typed or stands in a file: every field read, every mistake kept beside its field."""

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TypeVar

from shedgrade.domain import entry
from shedgrade.domain.crop import Crop, DefectKind, Measured
from shedgrade.domain.entry import EntryError
from shedgrade.domain.entry.errors import shown
from shedgrade.domain.grading.facts import NOTHING_SAID, Defect, Fruit, Load, blemish_surface_mm2
from shedgrade.domain.grading.one import borne_out, size_codes
from shedgrade.domain.spec.asked import asked
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import BP, say_area, say_weight

WEIGHT = "weight"
STAGE = "stage"
SIZE_CODE = "size_code"

_TEXTS_KEPT = 8192
_HUGE_DG = 1_000_000

T = TypeVar("T")

_ZERO = re.compile(r"0+(?:[.,]0*)?\s*(?:%|[cm]m(?:2|²|\^2))?", re.IGNORECASE)
_THERE = frozenset({"yes", "y", "x", "1", "true", "there"})
_NOT_THERE = frozenset({"", "no", "n", "0", "false", "nil", "none", "-"})


class FruitMistakes(ValueError):  # noqa: N818 - it holds all the mistakes of a fruit, not one error
    """A fruit that cannot be taken: ``by_field`` names for each field ("weight", "stage", "size_code" or a defect
    kind) what was found and what would be accepted; ``meant`` is the weight likely meant, as typed, or ""."""

    def __init__(self, by_field: Mapping[str, str], meant: str = "") -> None:
        self.by_field = by_field
        self.meant = meant
        super().__init__(" ".join(by_field.values()))


@dataclass(frozen=True, slots=True)
class Typed:
    """The fields of a fruit as typed. ``marks`` holds the figure of a measured kind, or a word for one that is just
    there or not; ``ticked`` the kinds seen, whether or not a figure stands beside them."""

    weight: str
    stage: str = ""
    size_code: str = ""
    marks: Mapping[str, str] = field(default_factory=dict)
    ticked: Collection[str] = ()


@dataclass(slots=True)
class FruitReader:
    """Reads fruit of one crop. ``by_share`` are kinds typed as a share although the crop measures their area;
    ``by_area`` the other way round."""

    crop: Crop
    spec: Spec | None = None
    stage_needed: bool = False
    looked_for: frozenset[str] | None = None
    by_share: frozenset[str] = frozenset()
    by_area: frozenset[str] = frozenset()
    load: Load = NOTHING_SAID
    _plausible: tuple[int, int | None, str] = field(init=False)
    _known: frozenset[str] = field(init=False)
    _stages: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Look up once what every fruit is held against."""
        self._plausible = (self.crop.lightest_dg, self.crop.heaviest_dg, self.crop.name.lower())
        self._known = frozenset(kind.id for kind in self.crop.kinds)
        self._stages = tuple(sorted(stage.number for stage in self.crop.stages))

    @classmethod
    def at_the_bench(cls, spec: Spec, load: Load = NOTHING_SAID) -> "FruitReader":
        """For fruit of a load that will be judged under the spec: the colour is needed where a limit asks for it."""
        return cls(spec.crop, spec, stage_needed=limits_colour(spec), load=load)

    def read(self, typed: Typed) -> tuple[Fruit, str | None]:
        """The fruit, and the size code on its pack if one was named; FruitMistakes."""
        errors: dict[str, str] = {}
        weighed = _read_weight(typed.weight, *self._plausible)
        weight_dg = _noted(weighed, WEIGHT, errors)
        stage = self._stage(typed.stage, errors)
        defects = self._defects(typed, weight_dg, errors)
        code = self._size_code(typed.size_code.strip(), weight_dg, errors)
        if weight_dg is None or errors:
            raise FruitMistakes(errors, weighed.meant if isinstance(weighed, EntryError) else "")
        return Fruit(weight_dg, stage, defects, self.looked_for), code

    def _stage(self, text: str, errors: dict[str, str]) -> int | None:
        if not text.strip():
            if self.stage_needed:
                errors[STAGE] = "The spec judges this fruit by its colour: choose a colour stage."
            return None
        if not self._stages:
            errors[STAGE] = f"{self.crop.name} has no colour scale here; leave the colour stage empty."
            return None
        return _noted(_read_stage(text, self._stages), STAGE, errors)

    def _size_code(self, code: str, weight_dg: int | None, errors: dict[str, str]) -> str | None:
        if not code or self.spec is None or weight_dg is None:
            return code or None
        fruit = Fruit(weight_dg)
        codes = size_codes(self.spec, fruit, self.load)
        if borne_out(self.spec, fruit, code, self.load) is None:
            accepted = f"size {' or '.join(codes)} is accepted" if codes else "it has no size code, leave this empty"
            errors[SIZE_CODE] = f"A fruit of {say_weight(weight_dg)} is not size {shown(code)}; {accepted}."
        return code

    def _defects(self, typed: Typed, weight_dg: int | None, errors: dict[str, str]) -> tuple[Defect, ...]:
        if not typed.marks and not typed.ticked:
            return ()
        for name in (*typed.marks, *typed.ticked):
            if name not in self._known:
                errors[name] = f"{self.crop.name} has no defect kind {shown(name)}; choose one that is shown."
        entered = [kind for kind in self.crop.kinds if kind.id in typed.marks or kind.id in typed.ticked]
        found = [self._defect(kind, typed, weight_dg, errors) for kind in entered]
        defects = tuple(defect for defect in found if defect is not None)
        if weight_dg is not None and defects:
            _refuse_too_much(defects, weight_dg, errors)
        return defects

    def _defect(self, kind: DefectKind, typed: Typed, weight_dg: int | None, errors: dict[str, str]) -> Defect | None:
        measure, text = self._measure(kind), typed.marks.get(kind.id, "").strip()
        if measure not in (Measured.AREA, Measured.SHARE):  # the books keep no length and no number of places yet
            there = _noted(_is_there(text), kind.id, errors)
            return Defect(kind.id) if there or kind.id in typed.ticked else None
        if not text or _ZERO.fullmatch(text):
            if kind.id in typed.ticked:
                errors[kind.id] = _how_much(kind, measure)
            return None
        if measure is Measured.SHARE:
            share = _noted(_read_share(text), kind.id, errors)
            return None if share is None else Defect(kind.id, share_bp=share)
        area = _noted(self._area(text, weight_dg), kind.id, errors)
        return None if area is None else Defect(kind.id, area_mm2=area)

    def _area(self, text: str, weight_dg: int | None) -> int | EntryError:
        """Read against a surface no fruit has, then held against the fruit's own, so that each text is read once."""
        area = _read_area(text, blemish_surface_mm2(_HUGE_DG))
        surface = blemish_surface_mm2(weight_dg or self.crop.heaviest_dg or _HUGE_DG)
        return _read_area(text, surface) if isinstance(area, EntryError) or area > surface else area

    def _measure(self, kind: DefectKind) -> Measured:
        if kind.id in self.by_share:
            return Measured.SHARE
        return Measured.AREA if kind.id in self.by_area else kind.measure


def limits_colour(spec: Spec) -> bool:
    """Whether one of the spec's limits asks for the colour stage."""
    return asked(spec).colour


def _how_much(kind: DefectKind, measure: Measured) -> str:
    size = "share of the surface in %" if measure is Measured.SHARE else "area in cm²"
    return f"{kind.name}: type its {size}, or touch it again to lift it."


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


def _is_there(text: str) -> bool | EntryError:
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
