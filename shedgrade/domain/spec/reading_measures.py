"""What a limit, a way or a severity looks at, read and checked against the crop."""

from collections.abc import Collection

from shedgrade.domain.bound import Unit
from shedgrade.domain.crop import Crop, DefectKind, Measured, TakenOn
from shedgrade.domain.spec.known import Known, Looked
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.measure import COLOUR_STAGE, LABEL_SIZE, SIZE_CODE, WEIGHT, By, Measure, Reference, Take
from shedgrade.domain.spec.mistakes import Wrong, suggestion
from shedgrade.domain.spec.reading import Table

_ANY_UNIT = tuple(Unit)
_KINDS_BY = {
    By.AREA: (Measured.AREA, Measured.SHARE),
    By.SHARE: (Measured.AREA, Measured.SHARE),
    By.LENGTH: (Measured.LENGTH,),
}
_OF_MARKS = (Take.SUM, Take.LARGEST, Take.PLACES, Take.PRESENT)
_RATED = (Take.SUM, Take.LARGEST, Take.PLACES)
_PAIR = 2


def read_looked(table: Table, known: Known, level: Level) -> Looked:
    """What a limit or one of its ways looks at: ``of``, ``take``, ``by``, ``state``, ``as_on``, ``among``."""
    package = level is Level.PACKAGE
    takes = [take for take in Take if (take is Take.SPREAD) is package]
    return _looked(table, known, takes)


def read_rated(table: Table, known: Known) -> Measure:
    """What a severity looks at: ``of``, ``take``, ``by``."""
    return _looked(table, known, _RATED).measure


def _looked(table: Table, known: Known, takes: Collection[Take]) -> Looked:
    take = table.choice_or_none("take", takes)
    if take is None:
        for key in ("of", "by", "state", "as_on", "among"):
            table.pass_over(key)
        return Looked(Measure((), Take.VALUE), _ANY_UNIT)
    of = table.words("of")
    by = _by(table, take, of, known)
    accepted = _measurable(take, by, of, known)
    fits = accepted is None or _are_among(table, takes, Measure(of, take, by), accepted, known)
    fits = fits and bool(of) and (known.crop is None or _as_many(table, take, of))
    unit = _crop_unit(table, take, of, known) if fits and by is None else None
    measure = Measure(
        of=of,
        take=take,
        by=by,
        states=_states(table, take, of, known),
        as_on=_as_on(table, by, known),
        of_label_size=_among(table, take, known),
        crop_unit=unit,
    )
    return Looked(measure, measure.units if fits and known.crop is not None else _ANY_UNIT)


def _by(table: Table, take: Take, of: tuple[str, ...], known: Known) -> By | None:
    """By what marks are added up or compared; a sum of measures of the crop has none."""
    measures = known.measures()
    of_measures = bool(of) and all(name in measures for name in of)
    if known.crop is None and take is Take.SUM and not table.has("by"):
        return None
    adds = take is Take.LARGEST or (take is Take.SUM and not of_measures)
    if adds:
        return table.choice_or_none("by", list(By))
    if table.has("by"):
        table.refuse("by", 'take = "sum" or take = "largest" of kinds with it, or no by')
    return None


def _measurable(take: Take, by: By | None, of: tuple[str, ...], known: Known) -> Collection[str] | None:
    """What may be taken that way; None when the crop is unknown and anything may be."""
    if take is Take.CODES:
        return (SIZE_CODE,) if known.sizes else ()
    if take is Take.SEVERITY:
        return known.severities
    return None if known.crop is None else _of_crop(take, by, of, known.crop, known)


def _of_crop(take: Take, by: By | None, of: tuple[str, ...], crop: Crop, known: Known) -> Collection[str]:
    if take is Take.VALUE:
        return known.value_names
    if take is Take.SPREAD:
        return (WEIGHT, COLOUR_STAGE, *known.measures(TakenOn.FRUIT))
    if take is Take.RATIO or (take is Take.SUM and by is None and any(name in known.measures() for name in of)):
        return known.measures()
    return [kind.id for kind in crop.kinds if by is None or kind.measure in _KINDS_BY[by]]


def _are_among(
    table: Table, takes: Collection[Take], measure: Measure, accepted: Collection[str], known: Known
) -> bool:
    """Whether all may be taken that way. Where none may and another way would do, the mistake is at the way."""
    strange = [word for word in measure.of if word not in accepted]
    if not strange:
        return True
    none_fits = len(strange) == len(measure.of)
    fitting = [take for take in takes if none_fits and all(take in _taken(word, known) for word in strange)]
    reasons = "; ".join(each for word in strange if (each := _how(word, known)))
    if measure.take in fitting and measure.by is not None:
        units = [by for by in By if all(_goes_by(word, by, known) for word in strange)]
        wanted = " or ".join(f'by = "{by}"' for by in units) or "kinds that are measured alike"
        table.note("by", f'"{measure.by}"', f"{wanted}: {reasons}")
    elif fitting and measure.take not in fitting:
        wanted = " or ".join(f'take = "{take}"' for take in fitting)
        table.note("take", f'"{measure.take}"', f"{wanted}: {reasons}")
    else:
        for word in strange:
            listed, sort = suggestion(word, accepted)
            how = _how(word, known)
            table.note("of", f'"{word}"', f"{listed}; {how}" if how else listed, Wrong.OTHER if how else sort)
    return False


def _kind(word: str, known: Known) -> DefectKind | None:
    return next((kind for kind in (known.crop.kinds if known.crop else ()) if kind.id == word), None)


def _taken(word: str, known: Known) -> Collection[Take]:
    """The ways in which what has this name can be taken; none for an unknown name."""
    kind = _kind(word, known)
    if kind is not None:
        return (Take.PLACES, Take.PRESENT) if kind.measure in (Measured.PLACES, Measured.PRESENT) else _OF_MARKS
    if word in known.measures():
        return (Take.VALUE, Take.SUM, Take.RATIO)
    if word in known.severities:
        return (Take.SEVERITY,)
    return {WEIGHT: (Take.VALUE,), COLOUR_STAGE: (Take.VALUE,), SIZE_CODE: (Take.CODES,)}.get(word, ())


def _goes_by(word: str, by: By, known: Known) -> bool:
    kind = _kind(word, known)
    return kind is not None and kind.measure in _KINDS_BY[by]


def _how(word: str, known: Known) -> str:
    """How what has this name is measured; "" for an unknown name."""
    kind = _kind(word, known)
    if kind is not None:
        return f'"{word}" is measured {kind.measure.says}'
    if word in known.severities:
        return f'"{word}" is a severity'
    return f'"{word}" is one figure, no fault' if _taken(word, known) else ""


def _as_many(table: Table, take: Take, of: tuple[str, ...]) -> bool:
    """Whether it names as many things as that way of taking needs."""
    if take in _OF_MARKS:
        return True
    wanted = _PAIR if take is Take.RATIO else 1
    if len(of) != wanted:
        accepted = "two measures, the first to be divided by the second" if wanted == _PAIR else "one name only"
        table.note("of", "one name" if len(of) == 1 else f"{len(of)} names", accepted)
    return len(of) == wanted


def _crop_unit(table: Table, take: Take, of: tuple[str, ...], known: Known) -> Unit | None:
    """The unit of measures of the crop, where the figure has it; several must be taken alike to make one figure."""
    measures = [measure for name, measure in known.measures().items() if name in of]
    if len({measure.on is TakenOn.FRUIT for measure in measures}) > 1:
        table.note("of", "measures taken on different things", "all on the fruit, or all on the sample or load")
    if take is Take.RATIO or not measures:
        return None
    if len({measure.unit for measure in measures}) > 1:
        table.note("of", "measures in different units", "measures in the same unit, which can be added up")
    return measures[0].unit


def _states(table: Table, take: Take, of: tuple[str, ...], known: Known) -> tuple[str, ...]:
    if not table.has("state"):
        return ()
    if take not in _OF_MARKS or (known.crop is not None and set(of) <= known.measures().keys()):
        table.refuse("state", "a limit over defect kinds with it, or no state")
        return ()
    if known.crop is None:
        return table.words("state")
    declared = [state for kind in known.crop.kinds if kind.id in of for state in kind.states]
    return table.known("state", list(dict.fromkeys(declared)))


def _as_on(table: Table, by: By | None, known: Known) -> Reference | None:
    """The fruit that an area is scaled to."""
    if not table.has("as_on"):
        return None
    if by is not By.AREA:
        table.refuse("as_on", 'by = "area" with it, or no as_on')
        return None
    entry = table.table("as_on")
    widths = [name for name, measure in known.measures(TakenOn.FRUIT).items() if measure.unit is Unit.MM]
    of = entry.known_word("of", [WEIGHT, *widths]) if known.crop else entry.text("of")
    reference = Reference(of, entry.quantity("size", Unit.GRAM if of == WEIGHT else Unit.MM))
    entry.done()
    return reference


def _among(table: Table, take: Take, known: Known) -> bool:
    if not table.has("among"):
        return False
    if take is not Take.SPREAD:
        table.refuse("among", 'take = "spread" with it, or no among')
        return False
    table.known_word("among", [LABEL_SIZE] if known.sizes else [])
    return True
