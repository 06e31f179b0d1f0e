"""How the verdict on a lot is written out: for a person, for a program."""

import json
import sys
from collections.abc import Sequence

from shedgrade.domain.grading.lot_sections import sections
from shedgrade.domain.grading.lot_verdict import Outside, PartVerdict, Place, Use
from shedgrade.domain.grading.lot_words import (
    Names,
    say_lot,
    say_open,
    say_package,
    say_reasons,
    say_use,
)
from shedgrade.domain.grading.package import PackageVerdict
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import DG_PER_G, digits, say_weight
from shedgrade.exchange.judged_lot import JudgedLot
from shedgrade.exchange.load_options import load_words

_YES = {Answer.HOLDS: True, Answer.NO_RULE: True, Answer.BROKEN: False, Answer.NOT_JUDGED: None}
_INDENT = "  "


def write_table(lot: JudgedLot) -> None:
    """The answer, then under headings what it rests on."""
    said = load_words(lot.load, lot.spec)
    sys.stdout.write(f"{say_lot(lot.verdict, lot.spec)}\n{_looked_at(lot)}\n")
    if said:
        sys.stdout.write(f"Said of the load: {', '.join(said)}\n")
    for section in sections(lot.verdict, lot.spec, lot.names):
        lines = "".join(f"  {_INDENT * line.depth}{line.said.says(lot.names)}\n" for line in section.lines)
        sys.stdout.write(f"\n{section.heading}\n{lines}")


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


def _looked_at(lot: JudgedLot) -> str:
    verdict = lot.verdict
    size = "no size" if verdict.code is None else f"size {verdict.code}"
    packages = len(verdict.packages)
    return (
        f"{digits(verdict.fruit)} fruit in {digits(packages)} package{'' if packages == 1 else 's'}, "
        f"{say_weight(verdict.weight_dg)}, counted by {verdict.basis}, under {lot.spec.title}; "
        f"label: {lot.spec.grade_class(verdict.class_id).name}, {size}"
    )


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
        "lines": list(names.numbers[number]),
        "uniform": _YES[package.uniform],
        "breakers": _lines([Place(number, fruit) for fruit in package.breakers], names),
        "says": say_package(package, spec, number, names),
    }


def _outside(outside: Outside, names: Names) -> dict[str, object]:
    return {"line": _line(outside.place, names), "fails": list(outside.names), "sure": outside.answer is Answer.BROKEN}


def _lines(places: Sequence[Place], names: Names) -> list[int]:
    return [_line(place, names) for place in places]


def _line(place: Place, names: Names) -> int:
    return names.numbers[place.package][place.fruit]
