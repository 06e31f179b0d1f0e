"""A sample judged as one lot, as its page shows it: the form that says what stands on the label, and the answer."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from shedgrade.domain.grading.load_limits import LoadLimit
from shedgrade.domain.grading.lot_sections import Line, Section
from shedgrade.domain.grading.one import size_codes
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import Basis
from shedgrade.domain.units import digits
from shedgrade.reports.sample import Rules
from shedgrade.storage.bench import BenchSample, MeasuredFruit

_MOST_LINKS = 100
_WORDS = {Basis.NUMBER: "Fruit by number", Basis.WEIGHT: "Fruit by weight"}
Packages = Sequence[Sequence[MeasuredFruit]]


@dataclass(frozen=True, slots=True)
class LotLine:
    """One line, how far in it stands, the fruit it is about, and how many more of them are not named."""

    depth: int
    words: str
    fruit: tuple[MeasuredFruit, ...]
    more: int


@dataclass(frozen=True, slots=True)
class LotSection:
    """Lines under a heading."""

    heading: str
    lines: tuple[LotLine, ...]


@dataclass(frozen=True, slots=True)
class LotView:
    """The form and what came of it; ``answer`` is "" until it is asked, ``closed`` says why nothing can be asked.
    ``size_hint`` says where the size offered first comes from."""

    title: str
    sample: BenchSample
    spec: Spec
    packages: str
    typed: Mapping[str, str]
    errors: Mapping[str, str]
    size_hint: str = ""
    answer: str = ""
    sections: tuple[LotSection, ...] = ()
    asked: tuple[LoadLimit, ...] = ()
    closed: str = ""

    @property
    def classes(self) -> list[tuple[str, str, str]]:
        """The classes that may stand on the label, each with what it is counted by where that is not free."""
        return [(each.id, each.name, _basis_note(self.spec.bases_of(each.id))) for each in self.spec.classes]

    @property
    def sizes(self) -> list[tuple[str, str]]:
        """The sizes that may."""
        return [(name, name) for name in self.spec.scale.names]

    @property
    def bases(self) -> list[tuple[str, str]]:
        """What can be counted for one class at least; where no class has anything, both, and the answer says why."""
        allowed = {basis for each in self.spec.classes for basis in self.spec.bases_of(each.id)}
        return [(basis.value, words) for basis, words in _WORDS.items() if basis in allowed or not allowed]


def size_of_label(rules: Rules, packages: Packages) -> tuple[str, str]:
    """The size to offer first and where it comes from: that typed with the fruit, else the one most of them have; ""
    where neither says one."""
    fruit = [each for one in packages for each in one]
    known = rules.spec.scale.names
    typed = [code for code in known if any(each.size_code == code for each in fruit)]
    if len(typed) == 1:
        return typed[0], "As it was typed with the fruit."
    if typed:
        return "", f"With its fruit {listed(typed)} were typed."
    found = Counter(code for each in fruit for code in size_codes(rules.spec, each.fruit, rules.load))
    if not found:
        return "", ""
    most = max(known, key=lambda code: found[code])
    return most, f"{digits(found[most])} of its {digits(len(fruit))} fruit are of size {most}. Say what the label says."


def with_fruit(sections: Iterable[Section], packages: Packages) -> tuple[LotSection, ...]:
    """The verdict's sections with the fruit that each line is about."""
    return tuple(LotSection(each.heading, tuple(_line(line, packages) for line in each.lines)) for each in sections)


def _line(line: Line, packages: Packages) -> LotLine:
    fruit = tuple(packages[place.package][place.fruit] for place in line.said.places)
    return LotLine(line.depth, line.said.words, fruit[:_MOST_LINKS], max(0, len(fruit) - _MOST_LINKS))


def _basis_note(bases: tuple[Basis, ...]) -> str:
    if len(bases) == len(Basis):
        return ""
    return f"counted by {bases[0]}" if bases else "cannot be judged as a lot"
