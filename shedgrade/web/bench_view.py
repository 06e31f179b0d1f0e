"""What the bench shows, put into words: the form for the next fruit, the last one judged, the tally."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from fractions import Fraction
from itertools import groupby

from shedgrade.domain.bound import Unit, say
from shedgrade.domain.crop import Crop, CropMeasure, DefectKind, Measured
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.people import Doer
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.spec.asked import asked
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.offered import sizes_offered
from shedgrade.domain.units import BP, digits, say_area, say_percent, say_weight
from shedgrade.reports.sample import GradedRow, Tally
from shedgrade.storage.bench import BenchSample, MeasuredFruit, OpenDraw, SampleBin
from shedgrade.storage.voided import Voided
from shedgrade.web.pages import new_form_key
from shedgrade.web.posted import Posted

MARK = "mark-"
SEEN = "seen"
STATE = "state"
TAKEN = "taken-"
_NO_CLASS = "No class"


@dataclass(frozen=True, slots=True)
class FruitWords:
    """One graded fruit as it is read: ``why`` holds, nearest class first, each missed class and what stopped it."""

    id: int
    number: int
    draw_name: str
    class_word: str
    facts: str
    sizes: str
    count: str
    why: tuple[tuple[str, str], ...]
    not_judged: tuple[str, ...]
    measured_by: Doer
    measured_at: datetime
    voided: Voided | None
    entry_key: str

    @property
    def sizes_and_count(self) -> str:
        """Its size codes and its count, or where it goes."""
        return f"{self.sizes}, {self.count}" if self.count else self.sizes

    @property
    def line(self) -> str:
        """What was measured and what follows from it, in one line."""
        return f"{self.facts}. {self.sizes_and_count[0].upper()}{self.sizes_and_count[1:]}"


@dataclass(frozen=True, slots=True)
class DefectKeyWords:
    """One defect key: the kind it stands for, the field it fills, its word, the unit typed into it ("" for one that is
    just there); ``seen`` says that it was touched, whether or not a figure stands in it; ``offered`` are figures to tap
    instead of typing one."""

    kind: str
    name: str
    word: str
    unit: str
    drawing: str
    typed: str
    seen: bool
    error: str
    offered: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakenWords:
    """The box of a measure that the spec asks to be taken of each fruit."""

    name: str
    word: str
    unit: str
    typed: str
    error: str


@dataclass(frozen=True, slots=True)
class StateWords:
    """The keys of a kind's states, where the spec asks for them: value and word of each, and those that are down."""

    kind: str
    word: str
    keys: tuple[tuple[str, str], ...]
    down: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TallyWords:
    """The tally in words: fruit by class, and where they came from."""

    rows: tuple[tuple[str, int], ...]
    total: int
    words: str


@dataclass(frozen=True, slots=True)
class SideView:
    """What changes with each fruit: the last one, the tally, and what the next form carries. ``wanted`` is how many
    fruit make the sample full; ``notice`` is a sentence that is no field's fault, ``meant`` what a refused weight was
    likely meant to be; ``rows`` are fruit entered last, the newest first; ``just_voided`` is a fruit that was voided
    after that; ``next_from`` is where the next fruit is taken from, ``bin_id`` the bin of the receipt that it names,
    if it names one; ``rules_sha256`` says which rules it is judged by,
    as a tablet holds them; ``empties`` tells the form to stand empty again; ``said`` is what has just changed.
    ``last_words`` tell whose the last fruit is and when it was measured; they are "" for whoever may undo it. ``left``
    is the draw it was taken from where the bench has gone on from there: then undo would take a fruit away that nobody
    thinks of any more, and the way back is offered instead."""

    sample: BenchSample
    tally: TallyWords
    rows: tuple[FruitWords, ...]
    wanted: int
    next_from: str
    bin_id: int | None
    entry_key: str
    rules_sha256: str
    said: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""
    meant: str = ""
    empties: bool = True
    just_voided: MeasuredFruit | None = None
    last_words: str = ""
    left: OpenDraw | None = None

    @property
    def left_words(self) -> str:
        """Where the last fruit was taken from."""
        return draw_words(self.left)

    @property
    def last(self) -> FruitWords | None:
        """The fruit entered last, if that is what was done last: not where one was voided since."""
        return self.rows[0] if self.rows and self.just_voided is None else None


@dataclass(frozen=True, slots=True)
class BenchView:
    """The bench for one sample: the form for the next fruit, and the side."""

    title: str
    sample: BenchSample
    question: Question
    crop: Crop
    stages: tuple[tuple[int, str], ...]
    stage_needed: bool
    codes: tuple[str, ...]
    usual: tuple[DefectKeyWords, ...]
    others: tuple[DefectKeyWords, ...]
    side: SideView
    taken: tuple[TakenWords, ...] = ()
    states: tuple[StateWords, ...] = ()
    bins: tuple[SampleBin, ...] = ()
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)

    @property
    def next_word(self) -> str:
        """What opens the next draw."""
        return f"Next {self.question.draw_word}"

    @property
    def code_choices(self) -> list[tuple[str, str]]:
        """The size codes a label can say, and that it says none."""
        return [("", "None"), *((code, code) for code in self.codes)]

    @property
    def bin_choices(self) -> list[tuple[int, str]]:
        """The bins that fruit can be taken from."""
        return [(each.id, _bin_choice(each)) for each in self.bins]


@dataclass(frozen=True, slots=True)
class Refused:
    """A form that was not taken: what was typed, the defect kinds and states that were touched, what is wrong with it,
    and the weight that was likely meant."""

    typed: Mapping[str, str]
    errors: Mapping[str, str]
    notice: str = ""
    seen: Collection[str] = ()
    states: Collection[str] = ()
    meant: str = ""


NOTHING_REFUSED = Refused({}, {})


def kept(posted: Posted, errors: Mapping[str, str] = NOTHING_REFUSED.errors, notice: str = "", **anew: str) -> Refused:
    """Everything a form held, to be shown again; ``anew`` are fields that have changed since."""
    return Refused({**posted, **anew}, errors, notice, posted.every(SEEN), posted.every(STATE))


def bench_view(
    spec: Spec,
    side: SideView,
    often: Sequence[str] = (),
    bins: Sequence[SampleBin] = (),
    refused: Refused = NOTHING_REFUSED,
) -> BenchView:
    """Everything the bench shows; ``often`` are the kinds seen most on the block, ``bins`` those to choose from."""
    sample = side.sample
    usual, others = key_order(spec.crop, often)
    if sample.draw is None and bins:
        side = replace(side, next_from=_from_bin(bins[0].name, bins[0].number), bin_id=bins[0].id)
    return BenchView(
        title=f"Bench, {sample.consignment_name}",
        sample=sample,
        question=Question(sample.question),
        crop=spec.crop,
        stages=tuple((stage.number, stage.name) for stage in spec.crop.stages),
        stage_needed=asked(spec).colour,
        codes=spec.scale.names,
        usual=tuple(_key(kind, spec, refused) for kind in usual),
        others=tuple(_key(kind, spec, refused) for kind in others),
        side=side,
        taken=tuple(_taken(measure, refused) for measure in asked(spec).fruit_measures),
        states=tuple(_states(spec.crop.kind(kind), refused) for kind in asked(spec).states),
        bins=tuple(bins),
        typed=refused.typed,
        errors=refused.errors,
    )


def side_view(
    sample: BenchSample,
    spec: Spec,
    tally: Tally,
    rows: Sequence[GradedRow],
    wanted: int,
    rules_sha256: str,
    refused: Refused = NOTHING_REFUSED,
) -> SideView:
    """What changes with each fruit."""
    question = Question(sample.question)
    return SideView(
        sample=sample,
        tally=tally_words(tally, spec, question),
        rows=tuple(fruit_words(row, spec) for row in rows),
        wanted=wanted,
        next_from=draw_words(sample.draw) or f"the first {question.draw_word}",
        bin_id=sample.draw.bin_id if sample.draw else None,
        entry_key=refused.typed.get("entry_key") or new_form_key(),
        rules_sha256=rules_sha256,
        errors=refused.errors,
        notice=refused.notice,
        meant=refused.meant,
        empties=not refused.typed,
    )


def draw_words(draw: OpenDraw | None) -> str:
    """Where fruit is taken from, a bin by its number on the receipt; "" before anything was drawn."""
    if draw is None:
        return ""
    return _from_bin(draw.name, draw.bin_number) if draw.bin_id else draw.name


def _from_bin(name: str, number: int) -> str:
    number_words = f"bin {number} of the receipt"
    return number_words if name == f"bin {number}" else f"{name}, {number_words}"


def _bin_choice(each: SampleBin) -> str:
    number = f"bin {each.number}"
    name = number if each.name == number else f"{number}, {each.name}"
    return f"{name}, {digits(each.fruit)} fruit so far" if each.fruit else name


_IN_REACH = ((Measured.AREA, 5), (Measured.SHARE, 1), (Measured.PRESENT, 3))
IN_REACH = sum(most for _, most in _IN_REACH)


def key_order(crop: Crop, often: Sequence[str] = ()) -> tuple[list[DefectKind], list[DefectKind]]:
    """The IN_REACH kinds whose keys stand in reach, and the rest: first those seen most on the block, in that order,
    then of those measured by area the first of the crop, one by share, some just there, then whatever is left."""
    first = [kind for measure, most in _IN_REACH for kind in [k for k in crop.kinds if k.measure is measure][:most]]
    in_turn = first + [kind for kind in crop.kinds if kind not in first]
    place = {kind_id: number for number, kind_id in enumerate(often)}
    in_turn.sort(key=lambda kind: place.get(kind.id, len(place)))
    return in_turn[:IN_REACH], in_turn[IN_REACH:]


def fruit_words(row: GradedRow, spec: Spec) -> FruitWords:
    """A graded fruit in words."""
    measured, verdict = row.measured, row.verdict
    return FruitWords(
        id=measured.id,
        number=measured.number,
        draw_name=measured.draw_name,
        class_word=_class_word(verdict, spec),
        facts=facts_words(measured.fruit, spec.crop),
        sizes=sizes_words(verdict),
        count=count_words(verdict),
        why=why(verdict, spec),
        not_judged=tuple(limit.says(spec) for limit in verdict.not_judged),
        measured_by=measured.measured_by,
        measured_at=measured.measured_at,
        voided=measured.voided,
        entry_key=measured.entry_key,
    )


def why(verdict: Verdict, spec: Spec) -> tuple[tuple[str, str], ...]:
    """For each class missed, the nearest first: its name and everything that stopped it."""
    missed = [
        (spec.grade_class(class_id).name, " and ".join(reason.clause(spec) for reason in reasons))
        for class_id, reasons in groupby(verdict.reasons, key=lambda reason: reason.class_id)
    ]
    return tuple(reversed(missed))


def facts_words(fruit: Fruit, crop: Crop) -> str:
    """What was measured: "412 g, stage 3, sap stain 4.6 cm², rot"."""
    stage = [] if fruit.stage is None else [f"stage {fruit.stage}"]
    taken = [
        f"{measure.name} {say(measure.base(value), measure.unit)}"
        for measure, value in ((crop.measure(name), value) for name, value in fruit.measures)
    ]
    marks = [_mark_words(defect, crop) for defect in fruit.defects]
    return ", ".join([say_weight(fruit.weight_dg), *stage, *taken, *marks])


def _mark_words(defect: Defect, crop: Crop) -> str:
    """A mark with what was measured of it: "sunburn 1.2 cm², progressive"."""
    words = [crop.kind(defect.kind).name]
    if defect.area_mm2 is not None:
        words.append(say_area(defect.area_mm2))
    if defect.share_bp is not None:
        words.append(say_percent(Fraction(defect.share_bp, BP), 2, trim=True))
    if defect.length_dmm is not None:
        words.append(say(Fraction(defect.length_dmm), Unit.MM))
    if defect.places is not None:
        words.append("in 1 place" if defect.places == 1 else f"in {defect.places} places")
    said = " ".join(words)
    states = " and ".join(state.replace("-", " ") for state in sorted(defect.states or ()))
    return f"{said} {states}" if states else said


def sizes_words(verdict: Verdict) -> str:
    """Its size codes, and which one it was judged as where it has several."""
    if not verdict.codes:
        return "no size code"
    if len(verdict.codes) == 1:
        return f"size {verdict.codes[0]}"
    return f"size {' and '.join(verdict.codes)}, judged as {verdict.judged_as}"


def count_words(verdict: Verdict) -> str:
    """Its count on the tray chosen, or where it goes instead; "" when no tray was chosen."""
    if verdict.class_id is None:
        return f"goes to {verdict.outlet.name.lower()}" if verdict.outlet else ""
    return verdict.count.says() if verdict.count is not None else ""


def tally_words(tally: Tally, spec: Spec, question: Question) -> TallyWords:
    """The tally by class, best first, with every class named even where it has no fruit."""
    rows = [(each.name, tally.by_class.get(each.id, 0)) for each in spec.classes]
    return TallyWords(
        rows=(*rows, (_NO_CLASS, tally.by_class.get(None, 0))),
        total=tally.fruit,
        words=question.fruit_from(tally.fruit, tally.draws),
    )


def _class_word(verdict: Verdict, spec: Spec) -> str:
    return _NO_CLASS if verdict.class_id is None else spec.grade_class(verdict.class_id).name


def _taken(measure: CropMeasure, refused: Refused) -> TakenWords:
    name = TAKEN + measure.id
    typed, error = refused.typed.get(name, ""), refused.errors.get(name, "")
    return TakenWords(name, measure.name.capitalize(), measure.unit.value, typed, error)


def _states(kind: DefectKind, refused: Refused) -> StateWords:
    keys = tuple((f"{kind.id}:{state}", state.replace("-", " ").capitalize()) for state in kind.states)
    return StateWords(
        kind.id, kind.name.capitalize(), keys, tuple(value for value, _ in keys if value in refused.states)
    )


_KEY_UNITS = {
    Measured.AREA: "cm²",
    Measured.SHARE: "%",
    Measured.LENGTH: "mm",
    Measured.PLACES: "places",
    Measured.PRESENT: "",
}


def _key(kind: DefectKind, spec: Spec, refused: Refused) -> DefectKeyWords:
    name = MARK + kind.id
    unit = _KEY_UNITS[kind.measure]
    return DefectKeyWords(
        kind=kind.id,
        name=name,
        word=kind.name,
        unit=unit,
        drawing=drawing(kind),
        typed=refused.typed.get(name, ""),
        seen=kind.id in refused.seen,
        error=refused.errors.get(name, ""),
        offered=tuple(digits(size, 2, trim=True) for size in sizes_offered(spec, kind)),
    )


# Kinds drawn under another name than their own; the rest are drawn under their own, or as "other".
_DRAWN_AS = {
    "sap-stain": "sap",
    "rub": "abrasion",
    "marked-bruise": "bruise",
    "skin-browning": "browning",
    "hail-mark": "hail",
    "blotch": "dirt",
    "lenticels": "lenticel",
    "healed-lenticels": "lenticel",
    "unhealed-wound": "cut",
    "cold-damage": "cold",
    "black-stain": "mould",
    "pest-damage": "insect",
    "very-slight-mark": "scratch",
    "corkiness": "scab",
    "spreading-mark": "russet",
    "stalk": "stem",
    "torn-stalk-scar": "torn-stalk",
    "internal-fault": "cavity",
    "large-hayward-mark": "hayward-mark",
    "shrivelled": "shrivel",
}


def drawing(kind: DefectKind) -> str:
    """The name its drawing goes by."""
    return _DRAWN_AS.get(kind.id, kind.id)
