"""A strategy of valid specs that use every concept of the language, over the invented crop QUELL.

``specs()`` draws a Spec; what it draws can be written, read back and graded by.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from hypothesis import strategies as st

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.crop import Crop, TakenOn
from shedgrade.domain.source import Source
from shedgrade.domain.spec.limit import Days, Level, Limit, Row, Severity, Step, Way, When
from shedgrade.domain.spec.measure import COLOUR_STAGE, SIZE_CODE, WEIGHT, By, Measure, Reference, Take
from shedgrade.domain.spec.model import NO_CLASS, TOO_HEAVY, TOO_LIGHT, GradeClass, Outlet, Spec
from shedgrade.domain.spec.scale import Band, Rounding, Scale
from shedgrade.domain.spec.tolerance import Basis, FruitSet, Part, Scope, Tolerance
from tests.support.made_up_bounds import (
    bounds,
    ids,
    one_or_more_of,
    own_words,
    plain_texts,
    some_of,
    sources_below,
    whole_sources,
)
from tests.support.whole_spec import QUELL

_BY_KINDS = {By.AREA: ("area", "share"), By.SHARE: ("area", "share"), By.LENGTH: ("length",)}
_DAYS = [(1, 1), (2, 28), (2, 29), (7, 15), (12, 1), (12, 31)]


@dataclass(frozen=True)
class Drawn:
    """What the parts drawn later may speak of."""

    crop: Crop
    source: Source
    classes: tuple[str, ...]
    sizes: tuple[str, ...]
    severities: tuple[str, ...]

    def measured(self, unit: Unit | None = None, *, on_fruit: bool = True) -> list[str]:
        """The crop's measures taken on the fruit, or on sample and load, all or those in that unit."""
        measures = [each for each in self.crop.measures if (each.on is TakenOn.FRUIT) is on_fruit]
        return [each.id for each in measures if unit is None or each.unit is unit]

    def kinds(self, *measured: str) -> list[str]:
        """The kinds measured in one of these ways, all when none is named."""
        return [kind.id for kind in self.crop.kinds if not measured or kind.measure.value in measured]

    def value(self, name: str) -> Measure:
        """A figure of the fruit or the load."""
        own = name in (WEIGHT, COLOUR_STAGE)
        return Measure((name,), Take.VALUE, crop_unit=None if own else self.crop.measure(name).unit)


@st.composite
def specs(draw: st.DrawFn, crop: Crop = QUELL) -> Spec:
    """A valid spec of the crop, which needs the measures and kinds that QUELL has."""
    source = draw(whole_sources)
    classes = draw(st.lists(st.builds(GradeClass, plain_texts, plain_texts), min_size=1, max_size=3, unique_by=_id))
    class_ids = tuple(each.id for each in classes)
    scale = draw(_scales(crop, source))
    sizes = scale.names
    drawn = Drawn(crop, source, class_ids, sizes, ())
    severities = draw(st.lists(_severities(drawn), max_size=2, unique_by=_id))
    drawn = Drawn(crop, source, class_ids, sizes, tuple(each.id for each in severities))
    limits = draw(_limits(drawn))
    of_fruit = [limit.id for limit in limits if limit.level is not Level.PACKAGE]
    sets = draw(_sets(drawn, of_fruit))
    set_ids = [each.id for each in sets]
    tolerances = draw(st.lists(_tolerances(drawn, set_ids, of_fruit), max_size=2, unique_by=_id)) if sets else []
    return Spec(
        id=draw(ids),
        title=draw(plain_texts),
        crop=crop,
        edition=draw(plain_texts),
        classes=tuple(classes),
        scale=scale,
        limits=limits,
        outlets=draw(_outlets(source, [limit.id for limit in limits if limit.level is Level.FRUIT])),
        source=source,
        notes=draw(some_of(["One note.", "Another.", 'With "signs" \\ in it.'])),
        severities=tuple(severities),
        sets=sets,
        tolerances=tuple(tolerances),
    )


def _id(part: GradeClass | Severity | Tolerance | Outlet) -> str:
    return part.id


@st.composite
def _scales(draw: st.DrawFn, crop: Crop, above: Source) -> Scale:
    if draw(st.booleans()):
        return Scale((), Rounding.NONE, above.below())
    of, unit, count_in, rounding = draw(
        st.sampled_from(
            [
                (WEIGHT, Unit.GRAM, None, Rounding.HALF_UP_TO_THE_GRAM),
                (WEIGHT, Unit.NUMBER, Fraction(3000), Rounding.HALF_UP_TO_THE_WHOLE),
                (WEIGHT, Unit.NUMBER, Fraction(7257, 2), Rounding.NONE),
                *((each.id, each.unit, None, _rounding(each.unit)) for each in crop.measures if _is_of_fruit(each.on)),
            ]
        )
    )
    source = draw(sources_below(above))
    names = draw(one_or_more_of(["A", "B", "1", "1-X", "größer"]))
    bands = [Band(name, draw(bounds([unit])), draw(sources_below(source))) for name in names]
    bands += [
        Band("by variety", draw(bounds([unit])), draw(sources_below(source)), (variety,))
        for variety in draw(some_of(crop.varieties))
    ]
    return Scale(tuple(bands), draw(st.sampled_from([rounding, Rounding.NONE])), source, of, unit, count_in)


def _is_of_fruit(on: TakenOn) -> bool:
    return on is TakenOn.FRUIT


def _rounding(unit: Unit) -> Rounding:
    return Rounding.HALF_UP_TO_THE_MILLIMETRE if unit is Unit.MM else Rounding.NONE


@st.composite
def _marks(draw: st.DrawFn, drawn: Drawn, takes: Sequence[Take]) -> Measure:
    """The figures that come from marks on the fruit."""
    take = draw(st.sampled_from(takes))
    by = draw(st.sampled_from(By)) if take in (Take.SUM, Take.LARGEST) else None
    return Measure(draw(one_or_more_of(drawn.kinds(*_BY_KINDS[by]) if by else drawn.kinds())), take, by)


@st.composite
def _marks_in_state(draw: st.DrawFn, drawn: Drawn) -> Measure:
    plain = draw(_marks(drawn, (Take.SUM, Take.LARGEST, Take.PLACES, Take.PRESENT)))
    declared = dict.fromkeys(state for kind in plain.of for state in drawn.crop.kind(kind).states)
    reference: st.SearchStrategy[Reference | None] = st.none()
    if plain.by is By.AREA:
        sizes = st.integers(1, 5000)
        of = st.sampled_from([WEIGHT, *drawn.measured(Unit.MM)])
        reference |= st.tuples(of, sizes).map(lambda pair: Reference(pair[0], Fraction(pair[1])))
    return Measure(plain.of, plain.take, plain.by, draw(some_of(declared)), draw(reference))


@st.composite
def _pairs(draw: st.DrawFn, drawn: Drawn) -> Measure:
    """A sum or a ratio of measures taken alike."""
    on_fruit = draw(st.booleans())
    names = drawn.measured(on_fruit=on_fruit)
    if draw(st.booleans()):
        return Measure(tuple(draw(st.permutations(names)))[:2], Take.RATIO)
    unit = drawn.crop.measure(draw(st.sampled_from(names))).unit
    return Measure(draw(one_or_more_of(drawn.measured(unit, on_fruit=on_fruit))), Take.SUM, crop_unit=unit)


def _looks(drawn: Drawn, level: Level) -> st.SearchStrategy[Measure]:
    """What a limit of that level may look at."""
    of_fruit = [WEIGHT, COLOUR_STAGE, *drawn.measured()]
    if level is Level.PACKAGE:
        among = st.booleans() if drawn.sizes else st.just(value=False)
        return st.tuples(st.sampled_from(of_fruit), among).map(lambda pair: _spread(drawn, *pair))
    values = st.sampled_from([*of_fruit, *drawn.measured(on_fruit=False)]).map(drawn.value)
    looks = [values, _marks_in_state(drawn), _pairs(drawn)]
    if drawn.sizes:
        looks.append(st.just(Measure((SIZE_CODE,), Take.CODES)))
    if drawn.severities:
        looks.append(st.sampled_from(drawn.severities).map(lambda each: Measure((each,), Take.SEVERITY)))
    return st.one_of(looks)


def _spread(drawn: Drawn, name: str, among: bool) -> Measure:
    return Measure((name,), Take.SPREAD, of_label_size=among, crop_unit=drawn.value(name).crop_unit)


@st.composite
def _limits(draw: st.DrawFn, drawn: Drawn) -> tuple[Limit, ...]:
    heads: dict[str, tuple[Level, Measure]] = {}
    for name in draw(st.lists(ids, min_size=1, max_size=4, unique=True)):
        level = draw(st.sampled_from(Level))
        heads[name] = level, draw(_looks(drawn, level))
    limits = []
    for name, (level, measure) in heads.items():
        switches = {other: on for other, (_, on) in heads.items() if other != name and on.take is not Take.SPREAD}
        switches |= {value: drawn.value(value) for value in (WEIGHT, COLOUR_STAGE, *_measure_ids(drawn))}
        source = draw(sources_below(drawn.source))
        ways = [
            Way(way, draw(_tables(drawn, way, source, switches)))
            for way in draw(st.lists(_looks(drawn, level), max_size=2))
        ]
        rows = draw(_tables(drawn, measure, source, switches))
        limits.append(Limit(name, draw(plain_texts), measure, rows, source, level, tuple(ways)))
    return tuple(limits)


def _measure_ids(drawn: Drawn) -> list[str]:
    return [measure.id for measure in drawn.crop.measures]


def _tables(
    drawn: Drawn, measure: Measure, above: Source, switches: dict[str, Measure]
) -> st.SearchStrategy[tuple[Row, ...]]:
    one = st.builds(Row, to=bounds(measure.units), source=st.just(above.below())).map(lambda row: (row,))
    rows = _rows(drawn, measure, above, switches)
    return one | st.lists(rows, min_size=1, max_size=3).map(lambda drawn_rows: _got_to(drawn_rows, drawn.classes))


def _got_to(rows: list[Row], classes: tuple[str, ...]) -> tuple[Row, ...]:
    """The rows without those that an earlier one leaves nothing to speak of."""
    kept: list[Row] = []
    for row in rows:
        if not any(earlier.covers(row, classes) for earlier in kept):
            kept.append(row)
    return tuple(kept)


@st.composite
def _rows(draw: st.DrawFn, drawn: Drawn, measure: Measure, above: Source, switches: dict[str, Measure]) -> Row:
    named = draw(some_of(list(switches), most=2))
    own = st.lists(own_words, max_size=2, unique=True).map(tuple)
    day = st.sampled_from(_DAYS)
    return Row(
        to=draw(bounds(measure.units)),
        source=draw(sources_below(above)),
        classes=draw(some_of(drawn.classes)),
        sizes=draw(some_of(drawn.sizes)),
        varieties=draw(some_of([*drawn.crop.varieties, "Unheard Of"])),
        days=draw(st.none() | st.builds(Days, day, day)),
        stages=draw(own),
        destinations=draw(own),
        grown_in=draw(own),
        presentations=draw(own),
        when=tuple(When(name, switches[name], draw(bounds(switches[name].units))) for name in sorted(named)),
    )


@st.composite
def _severities(draw: st.DrawFn, drawn: Drawn) -> Severity:
    measure = draw(_marks(drawn, (Take.SUM, Take.LARGEST, Take.PLACES)))
    source = draw(sources_below(drawn.source))
    unit = measure.unit
    ends = sorted(draw(st.lists(st.integers(1, 99), min_size=1, max_size=3, unique=True)))
    texts = [f"<= {end} {unit}" for end in ends] + draw(st.sampled_from([[], [f"> {ends[-1]} {unit}"], ["any"]]))
    steps = [
        Step(f"step {number}", Bound.parse(text), draw(sources_below(source))) for number, text in enumerate(texts)
    ]
    severity_id = draw(ids.filter(lambda each: each not in {*drawn.kinds(), *_measure_ids(drawn)}))
    return Severity(severity_id, draw(plain_texts), measure, tuple(steps), source)


@st.composite
def _sets(draw: st.DrawFn, drawn: Drawn, limits: Sequence[str]) -> tuple[FruitSet, ...]:
    sets: list[FruitSet] = []
    classes = st.none() | st.sampled_from(drawn.classes)
    for name in draw(st.lists(ids, max_size=3, unique=True)):
        breaks = draw(some_of(limits))
        made = FruitSet(
            id=name,
            name=draw(plain_texts),
            source=draw(sources_below(drawn.source)),
            below=draw(classes),
            meets=draw(classes),
            breaks=breaks,
            as_class=draw(classes) if breaks else None,
            has=draw(some_of(drawn.kinds())),
            sets=draw(some_of([each.id for each in sets])),
            other_size=bool(drawn.sizes) and draw(st.booleans()),
        )
        if any((made.below, made.meets, made.breaks, made.has, made.sets, made.other_size)):
            sets.append(made)
    return tuple(sets)


@st.composite
def _tolerances(draw: st.DrawFn, drawn: Drawn, sets: Sequence[str], limits: Sequence[str]) -> Tolerance:
    source = draw(sources_below(drawn.source))
    scope = draw(st.sampled_from(Scope))
    shares = sorted(draw(st.lists(st.integers(0, 100), min_size=3, max_size=3)), reverse=True)
    texts = draw(st.sampled_from([[f"<= {share} %" for share in shares], ["<= 2", "<= 1", "nil"], [">= 60 %"]]))
    part: Part | None = None
    for depth in reversed(range(len(texts))):
        times = st.none() | st.sampled_from([Fraction(1), Fraction(2), Fraction(3, 2), Fraction(4, 3)])
        part = Part(
            of=draw(one_or_more_of(sets)),
            to=Bound.parse(texts[depth]),
            source=source.below() if depth == 0 else draw(sources_below(source)),
            package_times=draw(times) if scope is Scope.LOT else None,
            still=draw(some_of(limits)),
            next_size=bool(drawn.sizes) and draw(st.booleans()),
            within=() if part is None else (part,),
        )
    if part is None:
        raise AssertionError("every list of texts has one at least")
    return Tolerance(draw(ids), draw(plain_texts), draw(some_of(drawn.classes)), draw(_bases), scope, part, source)


_bases = st.sampled_from([(Basis.NUMBER,), (Basis.WEIGHT,), (Basis.NUMBER, Basis.WEIGHT), (Basis.WEIGHT, Basis.NUMBER)])


@st.composite
def _outlets(draw: st.DrawFn, above: Source, limits: Sequence[str]) -> tuple[Outlet, ...]:
    cases = draw(st.permutations([NO_CLASS, *draw(some_of([*limits, TOO_LIGHT, TOO_HEAVY]))]))
    cut = draw(st.integers(0, len(cases)))
    shares = [tuple(share) for share in (cases[:cut], cases[cut:]) if share]
    names = draw(st.lists(ids, min_size=len(shares), max_size=len(shares), unique=True))
    return tuple(
        Outlet(name, draw(plain_texts), draw(st.booleans()), share, draw(sources_below(above)))
        for name, share in zip(names, shares, strict=True)
    )
