"""What a spec asks somebody to take, look for or say: without it some of its limits are not judged."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shedgrade.domain.crop import CropMeasure, TakenOn
from shedgrade.domain.spec.limit import Limit, Row
from shedgrade.domain.spec.measure import COLOUR_STAGE, Measure
from shedgrade.domain.spec.model import Spec


@dataclass(frozen=True, slots=True)
class Asked:
    """What a spec asks for, each once, in the order of the crop file or of the spec.

    ``kinds`` are the defect kinds to look for, ``states`` those of them whose states matter. ``fruit_measures`` are
    taken of every fruit, ``load_measures`` once for the load. The rest is what must be said of the load: whether its
    variety and the day matter, and the words the spec knows for where it goes, how it is presented, where it grew and
    at which stage of marketing it stands.
    """

    kinds: tuple[str, ...]
    states: tuple[str, ...]
    fruit_measures: tuple[CropMeasure, ...]
    load_measures: tuple[CropMeasure, ...]
    colour: bool
    variety: bool
    day: bool
    stages: tuple[str, ...]
    destinations: tuple[str, ...]
    grown_in: tuple[str, ...]
    presentations: tuple[str, ...]


_KEPT = 128
# By identity: a spec is asked about for every fruit at the bench. Each answer is kept with its spec, so an identity
# cannot pass to another one while it stands here.
_answers: dict[int, tuple[Spec, Asked]] = {}


def asked(spec: Spec) -> Asked:
    """What the spec asks for, worked out at first use."""
    known = _answers.get(id(spec))
    if known is not None:
        return known[1]
    if len(_answers) >= _KEPT:
        _answers.clear()
    answer = _asked(spec)
    _answers[id(spec)] = (spec, answer)
    return answer


def _asked(spec: Spec) -> Asked:
    measures, rows = list(_measures(spec)), [row for limit in spec.limits for row in _rows(limit)]
    named = {name for measure in measures for name in measure.of} | {spec.scale.of}
    named |= {measure.as_on.of for measure in measures if measure.as_on is not None}
    by_state = {name for measure in measures if measure.states for name in measure.of}
    crop = spec.crop
    taken = [measure for measure in crop.measures if measure.id in named]
    return Asked(
        kinds=tuple(kind.id for kind in crop.kinds if kind.id in named),
        states=tuple(kind.id for kind in crop.kinds if kind.states and kind.id in by_state),
        fruit_measures=tuple(measure for measure in taken if measure.on is TakenOn.FRUIT),
        load_measures=tuple(measure for measure in taken if measure.on is not TakenOn.FRUIT),
        colour=COLOUR_STAGE in named,
        variety=any(row.varieties for row in rows) or any(band.varieties for band in spec.scale.bands),
        day=any(row.days is not None for row in rows),
        stages=_words(row.stages for row in rows),
        destinations=_words(row.destinations for row in rows),
        grown_in=_words(row.grown_in for row in rows),
        presentations=_words(row.presentations for row in rows),
    )


def _measures(spec: Spec) -> Iterator[Measure]:
    for limit in spec.limits:
        yield from (way.measure for way in limit.ways)
        yield from (when.measure for row in _rows(limit) for when in row.when)
    yield from (severity.measure for severity in spec.severities)


def _rows(limit: Limit) -> Iterator[Row]:
    for way in limit.ways:
        yield from way.rows


def _words(each: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(word for words in each for word in words))
