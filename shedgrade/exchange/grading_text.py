"""How graded fruit are written out: for a person, for a spreadsheet, for a program."""

import csv
import json
import sys
from collections.abc import Iterable
from fractions import Fraction
from itertools import groupby

from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import DG_PER_G, digits, say_weight
from shedgrade.exchange.graded_file import GradedFile
from shedgrade.exchange.load_options import load_words
from shedgrade.exchange.sample_csv import FileFruit

HEADINGS = ("line", "draw", "weight g", "class", "size codes", "judged as", "count", "outlet", "reasons", "not judged")
_GAP = "  "


def write_table(graded: GradedFile) -> None:
    """Columns for reading, then the totals."""
    rows = [_table_row(fruit, verdict, graded.spec) for fruit, verdict in graded.fruit]
    heads = ("Line", "Draw", "Weight", "Class", "Size", "Count", "Why")
    widths = [max(map(len, column)) for column in zip(heads, *rows, strict=True)]
    for row in (heads, *rows):
        sys.stdout.write(f"{_padded(row, widths)}\n")
    sys.stdout.write("\n" + "".join(f"{line}\n" for line in graded.totals()))


def write_csv(graded: GradedFile) -> None:
    """One row a fruit on the output; the totals go to the error stream, so that the rows stay a table."""
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(HEADINGS)
    writer.writerows(_csv_row(fruit, verdict, graded.spec) for fruit, verdict in graded.fruit)
    sys.stderr.write("".join(f"{line}\n" for line in graded.totals()))


def write_json(graded: GradedFile) -> None:
    """One object: the spec, the fruit, the totals."""
    whole = {
        "spec": {"id": graded.spec.id, "title": graded.spec.title, "edition": graded.spec.edition},
        "tray": graded.tray.name if graded.tray else None,
        "load": load_words(graded.load, graded.spec),
        "fruit": [_object(fruit, verdict, graded.spec) for fruit, verdict in graded.fruit],
        "totals": {
            "fruit": len(graded.fruit),
            "by_class": dict(graded.by_class),
            "not_judged": dict(graded.not_judged),
        },
        "by_lot": graded.by_lot or None,
    }
    sys.stdout.write(f"{json.dumps(whole, ensure_ascii=False, indent=1)}\n")


def _padded(row: Iterable[str], widths: Iterable[int]) -> str:
    return _GAP.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def _table_row(fruit: FileFruit, verdict: Verdict, spec: Spec) -> tuple[str, ...]:
    size = "+".join(verdict.codes) or "none"
    judged = f" as {verdict.judged_as}" if len(verdict.codes) > 1 else ""
    unsure = ", ".join(_not_judged(verdict, spec))
    why = "; ".join([*_reasons(verdict, spec), *([f"not judged: {unsure}"] if unsure else [])])
    return (
        str(fruit.line), fruit.draw, say_weight(fruit.fruit.weight_dg), _class_name(verdict, spec), size + judged,
        _count(verdict) or _outlet(verdict), why,
    )  # fmt: skip


def _csv_row(fruit: FileFruit, verdict: Verdict, spec: Spec) -> list[str]:
    return [
        str(fruit.line),
        fruit.draw,
        digits(Fraction(fruit.fruit.weight_dg, DG_PER_G), 1).replace("\N{NARROW NO-BREAK SPACE}", ""),
        _class_name(verdict, spec),
        " ".join(verdict.codes),
        verdict.judged_as or "",
        _count(verdict),
        _outlet(verdict),
        "; ".join(_reasons(verdict, spec)),
        ", ".join(_not_judged(verdict, spec)),
    ]


def _object(fruit: FileFruit, verdict: Verdict, spec: Spec) -> dict[str, object]:
    return {
        "line": fruit.line,
        "draw": fruit.draw or None,
        "weight_g": fruit.fruit.weight_dg / DG_PER_G,
        "class": verdict.class_id,
        "class_name": _class_name(verdict, spec),
        "size_codes": list(verdict.codes),
        "judged_as": verdict.judged_as,
        "count": verdict.count.count if verdict.count else None,
        "misfit": verdict.count.misfit.value if verdict.count and verdict.count.misfit else None,
        "outlet": verdict.outlet.id if verdict.outlet else None,
        "class_by_size_code": dict(verdict.by_code),
        "severities": {severity_id: number for severity_id, number, _ in verdict.severities},
        "reasons": _reasons(verdict, spec),
        "not_judged": _not_judged(verdict, spec),
    }


def _reasons(verdict: Verdict, spec: Spec) -> list[str]:
    """A sentence for each class missed, the nearest first."""
    missed = [
        f"Not {spec.grade_class(class_id).name} because {' and '.join(reason.clause(spec) for reason in reasons)}"
        for class_id, reasons in groupby(verdict.reasons, key=lambda reason: reason.class_id)
    ]
    return missed[::-1]


def _not_judged(verdict: Verdict, spec: Spec) -> list[str]:
    """The limits nobody could judge, with what was not taken."""
    return [limit.says(spec) for limit in verdict.not_judged]


def _class_name(verdict: Verdict, spec: Spec) -> str:
    return "No class" if verdict.class_id is None else spec.grade_class(verdict.class_id).name


def _count(verdict: Verdict) -> str:
    return "" if verdict.count is None else str(verdict.count.count or verdict.count.misfit)


def _outlet(verdict: Verdict) -> str:
    return verdict.outlet.name if verdict.outlet else ""
