"""Made-up specs of the invented crop, made-up fruit of it and loads they may come from."""

from datetime import date, timedelta
from fractions import Fraction

from hypothesis import settings
from hypothesis import strategies as st

from shedgrade.domain.bound import ANY, NIL, Bound, Unit
from shedgrade.domain.crop import TakenOn
from shedgrade.domain.grading.facts import Defect, Fruit, Load, MaturityFigure
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.limit import Days, Level, Limit, Row, Severity, Step, Way, When
from shedgrade.domain.spec.measure import COLOUR_STAGE, SIZE_CODE, WEIGHT, By, Measure, Reference, Take
from shedgrade.domain.spec.model import NO_CLASS, GradeClass, Outlet, Spec
from shedgrade.domain.spec.scale import Band, Rounding, Scale
from shedgrade.domain.spec.text import read_crop
from tests.support.whole_spec import QUELL_CROP

CROP = read_crop(QUELL_CROP)
# Making up a spec takes longer than reading it.
few = settings(max_examples=40)
SOURCE = Source("made up", "1", "", Mark.OUR_READING)
CLASSES = ("I", "II")
CODES = ("small", "large")
VARIETIES = (*CROP.varieties, "Other")
STAGES, PLACES, GROWN, SHOWN = ("packing", "shop"), ("north", "south"), ("hot",), ("layers", "loose")
SEVERITY = "how-bad"
KINDS = tuple(kind.id for kind in CROP.kinds)
ON_FRUIT = tuple(measure.id for measure in CROP.measures if measure.on is TakenOn.FRUIT)
ON_LOAD = tuple(measure.id for measure in CROP.measures if measure.on is not TakenOn.FRUIT)
# For every unit, figures that made-up fruit come near: in base units.
_ENDS = {
    Unit.GRAM: (1000, 3000, 5000),
    Unit.CM2: (0, 100, 300, 500),
    Unit.PERCENT: (Fraction(0), Fraction(1, 10), Fraction(1, 3)),
    Unit.MM: (0, 100, 500, 700),
    Unit.BRIX: (620, 1000),
    Unit.NUMBER: (0, 1, 2, 3),
}


def some(words: tuple[str, ...]) -> st.SearchStrategy[tuple[str, ...]]:
    """None of them mostly, or one."""
    return st.just(()) | st.just(()) | st.sampled_from(words).map(lambda word: (word,))


def bounds(unit: Unit) -> st.SearchStrategy[Bound]:
    ends = st.sampled_from(_ENDS[unit]).map(Fraction)
    low = st.builds(lambda end, closed: Bound(end, None, low_closed=closed, unit=unit), ends, st.booleans())
    high = st.builds(
        lambda end, closed: Bound(None, end, high_closed=closed or not end, unit=unit), ends, st.booleans()
    )
    both = st.tuples(ends, ends).filter(lambda pair: pair[0] < pair[1]).map(lambda pair: Bound(*pair, unit=unit))
    return st.one_of(high, high, low, both, st.just(NIL), st.just(ANY))


def references() -> st.SearchStrategy[Reference | None]:
    return st.sampled_from([None, None, Reference("width", Fraction(635)), Reference(WEIGHT, Fraction(2500))])


@st.composite
def of_marks(draw: st.DrawFn) -> Measure:
    kinds = tuple(draw(st.lists(st.sampled_from(KINDS), min_size=1, max_size=3, unique=True)))
    states = draw(some(("progressive", "into flesh")))
    take = draw(st.sampled_from([Take.SUM, Take.LARGEST, Take.PLACES, Take.PRESENT]))
    if take in (Take.PLACES, Take.PRESENT):
        return Measure(kinds, take, states=states)
    by = draw(st.sampled_from(By))
    return Measure(kinds, take, by, states, draw(references()) if by is By.AREA else None)


def of_figures() -> st.SearchStrategy[Measure]:
    names = [measure.id for measure in CROP.measures]
    value = st.sampled_from(names).map(lambda name: Measure((name,), Take.VALUE, crop_unit=CROP.measure(name).unit))
    shares = Measure(("good-colour", "pale-colour"), Take.SUM, crop_unit=Unit.PERCENT)
    ratios = [Measure(pair, Take.RATIO) for pair in (("least-width", "width"), ("brix", "acid"))]
    own = [Measure((WEIGHT,), Take.VALUE), Measure((COLOUR_STAGE,), Take.VALUE), shares, *ratios]
    return value | st.sampled_from(own)


def measures() -> st.SearchStrategy[Measure]:
    special = [Measure((SIZE_CODE,), Take.CODES), Measure((SEVERITY,), Take.SEVERITY)]
    return of_marks() | of_figures() | st.sampled_from(special)


def days() -> st.SearchStrategy[Days | None]:
    return st.sampled_from([None, None, None, Days((12, 1), (2, 28)), Days((6, 1), (6, 30))])


@st.composite
def switches(draw: st.DrawFn) -> tuple[When, ...]:
    if not draw(st.sampled_from([True, False, False])):
        return ()
    measure = draw(measures())
    return (When("limit-0", measure, draw(bounds(measure.unit))),)


@st.composite
def rows(draw: st.DrawFn, measure: Measure) -> Row:
    return Row(
        to=draw(bounds(measure.unit)),
        source=SOURCE,
        classes=draw(some(CLASSES)),
        sizes=draw(some(CODES)),
        varieties=draw(some(VARIETIES)),
        days=draw(days()),
        stages=draw(some(STAGES)),
        destinations=draw(some(PLACES)),
        grown_in=draw(some(GROWN)),
        presentations=draw(some(SHOWN)),
        when=draw(switches()),
    )


@st.composite
def ways(draw: st.DrawFn) -> Way:
    measure = draw(measures())
    return Way(measure, tuple(draw(st.lists(rows(measure), min_size=1, max_size=3))))


@st.composite
def limits(draw: st.DrawFn, name: str) -> Limit:
    first, *others = draw(st.lists(ways(), min_size=1, max_size=2))
    level = draw(st.sampled_from([Level.FRUIT, Level.FRUIT, Level.FRUIT, Level.TOLERATED]))
    return Limit(name, name, first.measure, first.rows, SOURCE, level, tuple(others))


@st.composite
def severities(draw: st.DrawFn) -> Severity:
    measure = draw(of_marks().filter(lambda found: found.take is not Take.PRESENT))
    steps = draw(st.lists(bounds(measure.unit), min_size=1, max_size=3))
    named = tuple(Step(f"step {number}", bound, SOURCE) for number, bound in enumerate(steps, 1))
    return Severity(SEVERITY, "how bad", measure, named, SOURCE)


@st.composite
def scales(draw: st.DrawFn) -> Scale:
    of, unit = draw(st.sampled_from([(WEIGHT, Unit.GRAM), ("width", Unit.MM)]))
    count_in = draw(st.sampled_from([None, Fraction(3000)])) if of == WEIGHT else None
    if count_in is not None:
        ends = [Bound(Fraction(10), Fraction(20)), Bound(Fraction(4), Fraction(12))]
        rounding = draw(st.sampled_from([Rounding.NONE, Rounding.HALF_UP_TO_THE_WHOLE]))
    else:
        ends = draw(st.lists(bounds(unit), min_size=2, max_size=2))
        fine = Rounding.HALF_UP_TO_THE_GRAM if of == WEIGHT else Rounding.HALF_UP_TO_THE_MILLIMETRE
        rounding = draw(st.sampled_from([Rounding.NONE, fine]))
    bands = tuple(Band(name, end, SOURCE, draw(some(VARIETIES))) for name, end in zip(CODES, ends, strict=True))
    return Scale(bands, rounding, SOURCE, of, Unit.NUMBER if count_in else unit, count_in)


@st.composite
def specs(draw: st.DrawFn) -> Spec:
    """A spec of two classes, two sizes, up to four limits and one severity."""
    return Spec(
        id="made-up",
        title="Made up",
        crop=CROP,
        edition="1",
        classes=tuple(GradeClass(each, f"Class {each}") for each in CLASSES),
        scale=draw(scales()),
        limits=tuple(draw(limits(f"limit-{number}")) for number in range(draw(st.integers(1, 4)))),
        outlets=(Outlet("juice", "Juice", packed=False, takes=(NO_CLASS,), source=SOURCE),),
        source=SOURCE,
        severities=(draw(severities()),),
    )


@st.composite
def marks(draw: st.DrawFn) -> Defect:
    near = st.none() | st.sampled_from([0, 50, 100, 150, 300, 301, 500, 900])
    kind = draw(st.sampled_from(CROP.kinds))
    states = draw(st.none() | st.frozensets(st.sampled_from(kind.states))) if kind.states else None
    return Defect(
        kind.id,
        area_mm2=draw(near),
        share_bp=draw(st.none() | st.sampled_from([0, 500, 1000, 1001, 4000])),
        length_dmm=draw(near),
        places=draw(st.none() | st.integers(0, 3)),
        states=states,
    )


@st.composite
def fruit(draw: st.DrawFn) -> Fruit:
    figures = {"width": (499, 500, 635, 700, 704, 705), "least-width": (350, 500, 490)}
    shares = (0, 1000, 3333, 3334, 5000)
    taken = draw(st.frozensets(st.sampled_from(ON_FRUIT)))
    return Fruit(
        draw(st.sampled_from([900, 1000, 1505, 2500, 2999, 3000, 3004, 3005, 5000, 8000])),
        draw(st.none() | st.integers(1, 2)),
        tuple(draw(st.lists(marks(), max_size=4))),
        draw(st.none() | st.frozensets(st.sampled_from(KINDS))),
        tuple((name, draw(st.sampled_from(figures.get(name, shares)))) for name in sorted(taken)),
    )


def said(words: tuple[str, ...]) -> st.SearchStrategy[str | None]:
    return st.none() | st.sampled_from(words)


@st.composite
def loads(draw: st.DrawFn) -> Load:
    means = {"brix": (600, 620, 1200), "acid": (Fraction(0), Fraction(1, 100))}
    others = (Fraction(1, 10), Fraction(1, 3), Fraction(2))
    tested = draw(st.frozensets(st.sampled_from(ON_LOAD)))
    return Load(
        variety=draw(said(VARIETIES)),
        day=draw(st.none() | st.integers(0, 364).map(lambda day: date(2026, 1, 1) + timedelta(days=day))),
        stage=draw(said(STAGES)),
        destination=draw(said(PLACES)),
        grown_in=draw(said((*GROWN, "mild"))),
        presentation=draw(said(SHOWN)),
        tests=tuple(
            MaturityFigure(name, Fraction(draw(st.sampled_from(means.get(name, others)))), 10)
            for name in sorted(tested)
        ),
    )
