"""How the verdict on a lot is written out: for a person, for a program."""

import json
import sys
from collections.abc import Iterator, Sequence

from shedgrade.domain.grading.lot_verdict import LotVerdict, Outside, PartVerdict, Place, ToleranceVerdict, Use
from shedgrade.domain.grading.lot_words import (
    Names,
    say_lot,
    say_open,
    say_outside,
    say_package,
    say_part,
    say_reasons,
    say_singly,
    say_still,
    say_use,
)
from shedgrade.domain.grading.package import PackageVerdict
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import DG_PER_G, digits, say_weight
from shedgrade.exchange.judged_lot import JudgedLot
from shedgrade.exchange.load_options import load_words

_YES = {Answer.HOLDS: True, Answer.NO_RULE: True, Answer.BROKEN: False, Answer.NOT_JUDGED: None}
_WITHIN = {Answer.HOLDS: "within", Answer.BROKEN: "exceeded", Answer.NOT_JUDGED: "not judged"}
_MEETS = {Answer.HOLDS: "yes", Answer.BROKEN: "no", Answer.NOT_JUDGED: "not known yet"}


def write_table(lot: JudgedLot) -> None:
    """The answer, then under headings what it rests on."""
    verdict, spec, names = lot.verdict, lot.spec, lot.names
    said = load_words(lot.load, spec)
    outside = say_outside(verdict, names)
    sys.stdout.write(f"{say_lot(verdict, spec)}\n{_looked_at(lot)}\n")
    if said:
        sys.stdout.write(f"Said of the load: {', '.join(said)}\n")
    _section("Why", say_reasons(verdict, names))
    _section("Tolerances", [line for each in verdict.tolerances for line in _tolerance(each, names)] or [_none(lot)])
    _section("Packages", list(_packages(verdict, spec, names)))
    _section("Fruit no tolerance covers", outside or [_no_outside(verdict)])
    _section("By class", [f"{spec.grade_class(each).name}: {_MEETS[answer]}" for each, answer in verdict.by_class])
    _section("Not judged", [said.removeprefix("not judged: ") for said in say_open(verdict, spec, names)])


def write_json(lot: JudgedLot) -> None:
    """One object. Shares are exact fractions, written "1/20"; weights are in grams; fruit are lines of the file."""
    verdict, spec, names = lot.verdict, lot.spec, lot.names
    whole = {
        "spec": {"id": spec.id, "title": spec.title, "edition": spec.edition},
        "label": {"class": verdict.class_id, "size": verdict.code},
        "basis": str(verdict.basis),
        "load": load_words(lot.load, spec),
        "fruit": verdict.fruit,
        "weight_g": verdict.weight_dg / DG_PER_G,
        "conforms": _YES[verdict.conforms],
        "says": say_lot(verdict, spec),
        "reasons": say_reasons(verdict, names),
        "would_meet": verdict.would_meet,
        "by_class": {class_id: _YES[answer] for class_id, answer in verdict.by_class},
        "tolerances": [
            {
                "id": each.tolerance.id,
                "name": each.tolerance.name,
                "holds": _YES[each.answer],
                **_part(each.part, names),
            }
            for each in verdict.tolerances
        ],
        "packages": [_package(each, spec, number, names) for number, each in enumerate(verdict.packages)],
        "outside": [_outside(each, names) for each in verdict.outside],
        "breakers": _lines(verdict.breakers, names),
        "not_judged": say_open(verdict, spec, names),
    }
    sys.stdout.write(f"{json.dumps(whole, ensure_ascii=False, indent=1)}\n")


def _section(heading: str, lines: Sequence[str]) -> None:
    if lines:
        sys.stdout.write(f"\n{heading}\n" + "".join(f"  {line}\n" for line in lines))


def _looked_at(lot: JudgedLot) -> str:
    verdict = lot.verdict
    size = "no size" if verdict.code is None else f"size {verdict.code}"
    packages = len(verdict.packages)
    return (
        f"{digits(verdict.fruit)} fruit in {digits(packages)} package{'' if packages == 1 else 's'}, "
        f"{say_weight(verdict.weight_dg)}, counted by {verdict.basis}, under {lot.spec.title}; "
        f"label: {lot.spec.grade_class(verdict.class_id).name}, {size}"
    )


def _none(lot: JudgedLot) -> str:
    return f"the spec has none for {lot.spec.grade_class(lot.verdict.class_id).name}: every fruit must make the class"


def _no_outside(verdict: LotVerdict) -> str:
    return "not known yet" if verdict.outside else "none"


def _tolerance(tolerance: ToleranceVerdict, names: Names) -> Iterator[str]:
    yield f"{tolerance.tolerance.name}: {_WITHIN[tolerance.answer]}"
    yield from _figures(tolerance.part, names, 1)


def _figures(part: PartVerdict, names: Names, depth: int) -> Iterator[str]:
    """One figure, its single packages, and the figures inside, each further in."""
    indent = "  " * depth
    if part.whole is not None:
        yield f"{indent}{say_part(part, names)}"
    else:
        yield f"{indent}{' or '.join(part.names)}, in each package"
    yield from (f"{indent}  {said}" for said in (*say_singly(part, names), *say_still([part], names)))
    for each in part.within:
        yield from _figures(each, names, depth + 1)


def _packages(verdict: LotVerdict, spec: Spec, names: Names) -> Iterator[str]:
    """Whether each package is uniform; nothing when no limit asks."""
    if not any(limit.level is Level.PACKAGE for limit in spec.limits):
        return
    for number, each in enumerate(verdict.packages):
        uniform = {Answer.BROKEN: "not uniform", Answer.NOT_JUDGED: "not known yet"}.get(each.uniform, "uniform")
        yield f"{names.package(number)}: {uniform}"
        yield from (f"  {said}" for said in say_package(each, spec, number, names))


def _part(part: PartVerdict, names: Names) -> dict[str, object]:
    return {
        "of": list(part.names),
        "within_allowed": _YES[part.own_answer],
        "lot": None if part.whole is None else _use(part.whole),
        "single_packages": [
            {"package": names.package(use.package), **_use(use)} for use in part.uses if use.package is not None
        ],
        "lines": _lines(part.fruit, names),
        "perhaps_lines": _lines(part.unsure, names),
        "still_broken": [
            {"limit": each.limit_id, "line": _line(each.place, names), "holds": _YES[each.answer]}
            for each in part.still
        ],
        "parts": [_part(each, names) for each in part.within],
    }


def _use(use: Use) -> dict[str, object]:
    """What is counted: fruit, or decigrams of a weight, exact."""
    return {
        "counted": use.least,
        "counted_at_most": use.most,
        "base": use.base,
        "counted_in": "fruit" if use.basis == "number" else "dg",
        "share": str(use.share),
        "share_at_most": str(use.share_at_most),
        "allowed": use.allowed.text(),
        "room": use.room,
        "spare": use.spare,
        "holds": _YES[use.answer],
        "says": say_use(use),
    }


def _package(package: PackageVerdict, spec: Spec, number: int, names: Names) -> dict[str, object]:
    return {
        "package": names.package(number),
        "lines": list(names.lines[number]),
        "uniform": _YES[package.uniform],
        "breakers": _lines([Place(number, fruit) for fruit in package.breakers], names),
        "says": say_package(package, spec, number, names),
    }


def _outside(outside: Outside, names: Names) -> dict[str, object]:
    return {"line": _line(outside.place, names), "fails": list(outside.names), "sure": outside.answer is Answer.BROKEN}


def _lines(places: Sequence[Place], names: Names) -> list[int]:
    return [_line(place, names) for place in places]


def _line(place: Place, names: Names) -> int:
    return names.lines[place.package][place.fruit]
