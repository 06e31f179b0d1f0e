"""What the fruit of a file share, as it is said on the command line."""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from typing import TypeVar

from shedgrade.domain import entry
from shedgrade.domain.crop import CropMeasure, TakenOn
from shedgrade.domain.grading.facts import Load, MaturityFigure
from shedgrade.domain.names import plain_name
from shedgrade.domain.spec.asked import asked
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import THIN, digits, say_day

Read = TypeVar("Read")
_NEAR = 0.8  # "Hayword" is a slip for Hayward; "Keitt" and "Kent" are two


@dataclass(frozen=True, slots=True)
class LoadSaid:
    """The options as typed; None where one was left out. ``taken`` holds "dry-matter=15.2", ``taken_of`` of how many
    fruit these means are. ``as_typed``: a variety or word that looks like a slip of a known one is meant so."""

    variety: str | None = None
    day: str | None = None
    stage: str | None = None
    destination: str | None = None
    grown_in: str | None = None
    presentation: str | None = None
    taken: Sequence[str] = ()
    taken_of: int | None = None
    as_typed: bool = False


class LoadMistakes(ValueError):  # noqa: N818 - it holds all the mistakes of the options, not one error
    """Options that cannot be taken, each mistake a line."""


def read_load(said: LoadSaid, spec: Spec) -> Load:
    """The options as facts; LoadMistakes for what cannot be."""
    words, slips = asked(spec), not said.as_typed
    mistakes: list[str] = []

    def noted(read: Callable[[], Read]) -> Read | None:
        try:
            return read()
        except entry.EntryError as mistake:
            mistakes.append(str(mistake))
            return None

    day = said.day
    load = Load(
        variety=noted(lambda: _variety(said, spec)),
        day=None if day is None else noted(lambda: entry.date(day)),
        stage=noted(lambda: _word(said.stage, words.stages, "stage", slips=slips)),
        destination=noted(lambda: _word(said.destination, words.destinations, "destination", slips=slips)),
        grown_in=noted(lambda: _word(said.grown_in, words.grown_in, "word for how it was grown", slips=slips)),
        presentation=noted(lambda: _word(said.presentation, words.presentations, "presentation", slips=slips)),
        tests=tuple(_tests(said, spec, mistakes)),
    )
    if mistakes:
        raise LoadMistakes("\n".join(mistakes))
    return load


def load_words(load: Load, spec: Spec) -> list[str]:
    """What was said of the load, each fact in a few words: "dry matter 15.2 % (mean of 10 fruit)"."""
    own = (load.variety, None if load.day is None else say_day(load.day), load.stage, load.destination)
    said = [each for each in (*own, load.grown_in, load.presentation) if each is not None]
    for test in load.tests:
        measure = spec.crop.measure(test.measure)
        said.append(f"{measure.name} {_as_typed(test.mean, measure)} (mean of {digits(test.fruit)} fruit)")
    return said


def _as_typed(mean: Fraction, measure: CropMeasure) -> str:
    """A mean with all its decimals: one just under what is asked must not look like it."""
    figure = mean / measure.unit.base
    places = next(
        (places for places in range(_MOST_DECIMALS) if (figure * 10**places).denominator == 1), _MOST_DECIMALS
    )
    return f"{digits(figure, places)}{THIN}{measure.unit.replace('cm2', 'cm²')}".rstrip(THIN)


_MOST_DECIMALS = 64


def _variety(said: LoadSaid, spec: Spec) -> str | None:
    """One of the crop's or the spec's however it was typed, or another one that is no slip of the hand."""
    text = said.variety
    if text is None:
        return None
    named = [name for limit in spec.limits for way in limit.ways for row in way.rows for name in row.varieties]
    named += [name for band in spec.scale.bands for name in band.varieties]
    known = {plain_name(name): name for name in [*spec.crop.varieties, *named]}
    plain = plain_name(text)
    near = [] if plain in known or said.as_typed else get_close_matches(plain, known, n=1, cutoff=_NEAR)
    if near:
        raise entry.EntryError(f'"{text}" is no variety known here', _did_you_mean(known[near[0]]))
    return known.get(plain) or text.strip()


def _word(text: str | None, known: Collection[str], what: str, *, slips: bool) -> str | None:
    """A word of the spec, or another one that is no slip of the hand; ``slips``: whether one is looked for."""
    if text is None:
        return None
    word = " ".join(text.lower().split())
    near = get_close_matches(word, known, n=1) if slips else []
    if word not in known and (near or not word):
        accepted = _did_you_mean(near[0]) if near else "a word is accepted, or leave it out"
        raise entry.EntryError(f'"{text}" is no {what} of this spec', accepted)
    return word


def _did_you_mean(name: str) -> str:
    return f'did you mean "{name}"? If it is meant as you typed it, say --as-typed too'


def _tests(said: LoadSaid, spec: Spec, mistakes: list[str]) -> Iterator[MaturityFigure]:
    """The means that can be used; what is wrong with the others goes to ``mistakes``."""
    if said.taken and (said.taken_of is None or said.taken_of < 1):
        mistakes.append(
            "--taken is a mean, and of how many fruit is not said; say of how many fruit it is by --taken-of 10."
        )
    seen: set[str] = set()
    for text in said.taken:
        name, sign, typed = text.partition("=")
        measure = _measure(name.strip(), spec)
        if not sign or measure is None or measure.id in seen:
            mistakes.append(f'--taken "{text}" cannot be used; {_taken_accepted(spec)}.')
            continue
        seen.add(measure.id)
        try:
            yield MaturityFigure(measure.id, entry.mean(typed, measure), said.taken_of or 1)
        except entry.EntryError as mistake:
            mistakes.append(f'--taken "{text}": {mistake}')


def _of_load(spec: Spec) -> list[CropMeasure]:
    return [measure for measure in spec.crop.measures if measure.on is not TakenOn.FRUIT]


def _measure(name: str, spec: Spec) -> CropMeasure | None:
    return next((each for each in _of_load(spec) if name.lower() in (each.id, each.name.lower())), None)


def _taken_accepted(spec: Spec) -> str:
    names = [f"{measure.id}=figure" for measure in _of_load(spec)]
    if not names:
        return f"no test of a load is known for {spec.crop.name.lower()}, leave it out"
    return f"{', '.join(names)} {'are' if len(names) > 1 else 'is'} accepted, each once"
