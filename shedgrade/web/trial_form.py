"""A fruit typed to try a spec on: what the spec asks for, read as at the bench, and the verdict in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from shedgrade.domain import entry
from shedgrade.domain.crop import CropMeasure, DefectKind
from shedgrade.domain.fruit_entry import FruitMistakes, FruitReader, Typed
from shedgrade.domain.grading.facts import Load, MaturityFigure
from shedgrade.domain.grading.one import borne_out, grade
from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.spec.asked import Asked, asked
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.trays.counts import TrayType, count_for
from shedgrade.storage.loads import STAGE
from shedgrade.web.answers import Answers

_MARK, _STATE, _TAKEN = "mark-", "state-", "taken-"


@dataclass(frozen=True, slots=True)
class TrialView:
    """The form for one fruit and, once it is sent, what the spec says of it: its class and size, how many such
    fruit fill each tray, and for each better class why not."""

    asked: Asked
    kinds: list[DefectKind]
    measures: list[CropMeasure]
    stages: list[tuple[str, str]]
    words: list[tuple[str, str, list[tuple[str, str]]]]
    typed: Mapping[str, str]
    errors: Mapping[str, str] = field(default_factory=dict)
    verdict: str = ""
    counts: list[str] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)
    not_judged: list[str] = field(default_factory=list)


def tried(spec: Spec, typed: Mapping[str, str], trays: Sequence[TrayType] = ()) -> TrialView:
    """The form as typed; with the verdict where a weight was typed and all of it can be read, and with the count in
    each of these trays."""
    blank = _blank(spec, typed)
    if "weight" not in typed:
        return blank
    answers = Answers(typed)
    load = _load(spec, answers)
    reader = FruitReader(spec.crop, spec, states_of=frozenset(blank.asked.states), load=load)
    try:
        fruit, code = reader.read(_typed(spec, typed))
    except FruitMistakes as mistakes:
        return _blank(
            spec, typed, {**answers.errors, **{_field(spec, key): said for key, said in mistakes.by_field.items()}}
        )
    if answers.errors:
        return _blank(spec, typed, answers.errors)
    verdict = grade(spec, fruit, None, borne_out(spec, fruit, code, load), load)
    return TrialView(
        blank.asked,
        blank.kinds,
        blank.measures,
        blank.stages,
        blank.words,
        typed,
        verdict=_class_and_size(spec, verdict),
        counts=[] if verdict.class_id is None else [_count(tray, fruit.weight_dg) for tray in trays],
        reasons=[f"Not {spec.grade_class(each.class_id).name}: {each.clause(spec)}" for each in verdict.reasons],
        not_judged=[each.says(spec) for each in verdict.not_judged],
    )


def _class_and_size(spec: Spec, verdict: Verdict) -> str:
    said = "No class" if verdict.class_id is None else spec.grade_class(verdict.class_id).name
    return f"{said}, size {listed(verdict.codes, 'or')}" if verdict.codes else said


def _count(tray: TrayType, weight_dg: int) -> str:
    return f"{tray.name}: {count_for(tray, weight_dg).says()}"


def _blank(spec: Spec, typed: Mapping[str, str], errors: Mapping[str, str] | None = None) -> TrialView:
    wanted = asked(spec)
    return TrialView(
        asked=wanted,
        kinds=[spec.crop.kind(kind) for kind in wanted.kinds],
        measures=[*wanted.fruit_measures, *wanted.load_measures],
        stages=[(str(stage.number), stage.name) for stage in spec.crop.stages] if wanted.colour else [],
        words=_words(spec, wanted),
        typed=typed,
        errors=errors or {},
    )


def _words(spec: Spec, wanted: Asked) -> list[tuple[str, str, list[tuple[str, str]]]]:
    """What is said of the load by choosing a word: name, label, choices."""
    said = (
        ("variety", "Variety", _varieties(spec) if wanted.variety else ()),
        (
            "stage-of-marketing",
            "Stage of marketing",
            tuple(dict.fromkeys((STAGE, *wanted.stages))) if wanted.stages else (),
        ),
        ("destination", "Destination", wanted.destinations),
        ("grown_in", "Grown in", wanted.grown_in),
        ("presentation", "Presentation", wanted.presentations),
    )
    return [(name, label, [(word, word) for word in words]) for name, label, words in said if words]


def _varieties(spec: Spec) -> tuple[str, ...]:
    of_rows = (row.varieties for limit in spec.limits for way in limit.ways for row in way.rows)
    of_bands = (band.varieties for band in spec.scale.bands)
    named = (word for words in (spec.crop.varieties, *of_rows, *of_bands) for word in words)
    return tuple(dict.fromkeys(named))


def _typed(spec: Spec, typed: Mapping[str, str]) -> Typed:
    kinds = {kind.id for kind in spec.crop.kinds}
    marks = {kind: typed[f"{_MARK}{kind}"] for kind in kinds if typed.get(f"{_MARK}{kind}", "").strip()}
    states = {
        kind.id: [state for state in kind.states if typed.get(f"{_STATE}{kind.id}-{state}")] for kind in spec.crop.kinds
    }
    taken = asked(spec).fruit_measures
    return Typed(
        weight=typed.get("weight", ""),
        stage=typed.get("stage", ""),
        marks=marks,
        states={kind: found for kind, found in states.items() if found},
        measures={each.id: typed.get(f"{_TAKEN}{each.id}", "") for each in taken},
    )


def _field(spec: Spec, key: str) -> str:
    """The form's own name of what the reader names."""
    if key in {kind.id for kind in spec.crop.kinds}:
        return f"{_MARK}{key}"
    return f"{_TAKEN}{key}" if key in {each.id for each in spec.crop.measures} else key


def _load(spec: Spec, answers: Answers) -> Load:
    wanted = asked(spec)
    day = answers.read("day", entry.date, needed=False)
    tests = [(each, _mean(answers, each)) for each in wanted.load_measures]
    word = {name: answers.text(name, needed=False) or None for name, _, _ in _words(spec, wanted)}
    return Load(
        variety=word.get("variety"),
        day=day,
        stage=word.get("stage-of-marketing"),
        destination=word.get("destination"),
        grown_in=word.get("grown_in"),
        presentation=word.get("presentation"),
        tests=tuple(MaturityFigure(each.id, mean, 1, day) for each, mean in tests if mean is not None),
    )


def _mean(answers: Answers, measure: CropMeasure) -> Fraction | None:
    return answers.read(f"{_TAKEN}{measure.id}", lambda text: entry.mean(text, measure), needed=False)
