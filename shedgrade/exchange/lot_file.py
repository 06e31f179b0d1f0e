"""Judging a file as one lot from the command line: whether it conforms to the class on its label, by the tolerances and
package limits of its spec. No database, no web."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from shedgrade.domain.entry import EntryError
from shedgrade.domain.grading.facts import Load
from shedgrade.domain.grading.lot import judge_lot
from shedgrade.domain.grading.lot_verdict import Inspection
from shedgrade.domain.grading.lot_words import Names
from shedgrade.domain.grading.takes import GradingError
from shedgrade.domain.names import name_among
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import Basis
from shedgrade.exchange.asked_for import (
    NOTHING_TYPED,
    CannotGradeError,
    exit_code,
    the_fruit,
    the_load,
    the_spec,
    the_writer,
    typed,
)
from shedgrade.exchange.judged_lot import JudgedLot
from shedgrade.exchange.load_options import LoadSaid
from shedgrade.exchange.lot_text import write_json, write_table
from shedgrade.exchange.sample_csv import FileFruit, SampleFile, read_sample

_WRITERS: Mapping[str, Callable[[JudgedLot], None]] = {"table": write_table, "json": write_json}


@dataclass(frozen=True, slots=True)
class Labelled:
    """The label and the basis as typed: a class by its id or name, a size code (None: that of the file, or none)."""

    class_: str
    size: str | None
    basis: str


def judge_file(
    path: Path,
    spec_name: str,
    label: Labelled,
    format_: str,
    *,
    crop_file: Path | None = None,
    said: LoadSaid = NOTHING_TYPED,
) -> int:
    """Print whether the lot conforms and why, and give the exit code: 0 as well when it does not conform."""

    def work() -> None:
        writer = the_writer(format_, _WRITERS)
        spec = the_spec(spec_name, crop_file)
        class_id, basis = typed(lambda: _class(label.class_, spec)), typed(lambda: _basis(label.basis))
        load = the_load(said, spec)
        # A size code that differs from the fruit is the label here, so the file is read without the spec.
        file = the_fruit(path, lambda content: read_sample(content, spec.crop))
        code = typed(lambda: _code(label.size, file, spec))
        writer(_judged(file, spec, class_id, code, basis, load))

    return exit_code(work)


def _judged(file: SampleFile, spec: Spec, class_id: str, code: str | None, basis: Basis, load: Load) -> JudgedLot:
    packages: dict[str, list[FileFruit]] = {}
    for each in file.fruit:
        packages.setdefault(each.draw, []).append(each)
    fruits = tuple(tuple(each.fruit for each in one) for one in packages.values())
    called = tuple(f"{file.draw_heading} {draw}" for draw in packages) if file.has_draws else ("the package",)
    names = Names(called, tuple(tuple(each.line for each in one) for one in packages.values()), "line", "lines")
    inspected = Inspection(class_id, code, basis, fruits, load)
    try:
        return JudgedLot(spec, judge_lot(spec, inspected), names, load)
    except GradingError as mistake:
        raise CannotGradeError(f"{str(mistake)[:1].upper()}{str(mistake)[1:]}.") from mistake


def _class(text: str, spec: Spec) -> str:
    """A class of the spec by its id or its name, however it was typed; EntryError."""
    by_name = {name: each.id for each in spec.classes for name in (each.id, each.name)}
    name = name_among(text, by_name)
    if name is None:
        raise EntryError(f'"{text}" is no class of this spec', _either([each.id for each in spec.classes], text))
    return by_name[name]


def _basis(text: str) -> Basis:
    """By number or by weight; EntryError."""
    name = name_among(text, list(Basis))
    if name is None:
        raise EntryError(f'"{text}" is not what a lot is counted by', _either([str(each) for each in Basis], text))
    return Basis(name)


def _code(text: str | None, file: SampleFile, spec: Spec) -> str | None:
    """The size on the label: as typed, else that of the file's size codes, which must then be one and the same;
    EntryError."""
    lines: dict[str, int] = {}
    for each in file.fruit:
        if each.size_code is not None:
            lines.setdefault(each.size_code, each.line)
    named = {**({text: 0} if text is not None else {}), **lines}
    sizes = spec.scale.names
    for size, line in named.items():
        if name_among(size, sizes) is None:
            accepted = _either(sizes, size) if sizes else "this spec has no sizes, leave it out"
            raise EntryError(f'{_where(line)}"{size}" is no size of this spec', accepted)
    labels = dict.fromkeys(name_among(size, sizes) for size in named)
    if len(labels) > 1:
        found = " and ".join(f'{_where(line)}"{size}"' for size, line in list(named.items())[:_FEW])
        raise EntryError(f"A lot has one label, and the fruit are {found}", "one size code for all is accepted")
    return next(iter(labels), None)


_FEW = 3


def _where(line: int) -> str:
    return f"line {line}, size code " if line else "--size "


def _either(names: Sequence[str], text: str) -> str:
    near = get_close_matches(text, names, n=1)
    return f'did you mean "{near[0]}"?' if near else f"{listed(names, 'or')} is accepted"
