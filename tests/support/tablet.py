"""What a tablet would hold and say: rules, fruit and verdicts as plain JSON values."""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from shedgrade.domain.fruit_entry import FruitMistakes, FruitReader, Typed
from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.grading.one import borne_out, grade
from shedgrade.domain.grading.tablet.plain import pair
from shedgrade.domain.grading.verdict import NotJudged, Reason, Verdict
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.web.bench_view import count_words, facts_words, sizes_words, why


def fruit_json(fruit: Fruit, code: str | None = None) -> dict[str, Any]:
    """A fruit as the tablet keeps it."""
    return {
        "weight_dg": fruit.weight_dg,
        "stage": fruit.stage,
        "defects": [
            {
                "kind": mark.kind,
                "area_mm2": mark.area_mm2,
                "share_bp": mark.share_bp,
                "length_dmm": mark.length_dmm,
                "places": mark.places,
                "states": None if mark.states is None else sorted(mark.states),
            }
            for mark in fruit.defects
        ],
        "looked_for": None if fruit.looked_for is None else sorted(fruit.looked_for),
        "measures": [list(each) for each in fruit.measures],
        "size_code": code,
    }


def typed_json(typed: Typed) -> dict[str, Any]:
    """The fields of a fruit as the form gives them."""
    return {
        "weight": typed.weight,
        "stage": typed.stage,
        "size_code": typed.size_code,
        "marks": dict(typed.marks),
        "ticked": list(typed.ticked),
        "states": {kind: list(states) for kind, states in typed.states.items()},
        "measures": dict(typed.measures),
    }


def read_json(reader: FruitReader, typed: Typed) -> dict[str, Any]:
    """What the server makes of them: a fruit, or what it says beside each field."""
    try:
        return {"fruit": fruit_json(*reader.read(typed))}
    except FruitMistakes as mistakes:
        return {"errors": dict(mistakes.by_field), "meant": mistakes.meant}


def verdict_json(
    spec: Spec, fruit: Fruit, tray: TrayType | None = None, code: str | None = None, load: Load = NOTHING_SAID
) -> dict[str, Any]:
    """The server's verdict with its words, as the tablet would give it."""
    verdict = grade(spec, fruit, tray, borne_out(spec, fruit, code, load), load)
    outlet, count = verdict.outlet, verdict.count
    return {
        "class_id": verdict.class_id,
        "class_name": None if verdict.class_id is None else spec.grade_class(verdict.class_id).name,
        "codes": list(verdict.codes),
        "judged_as": verdict.judged_as,
        "count": None if count is None else count.count,
        "misfit": None if count is None or count.misfit is None else count.misfit.value,
        "outlet": None if outlet is None else {"id": outlet.id, "name": outlet.name, "packed": outlet.packed},
        "packed": verdict.packed,
        "reasons": [_reason(each, spec) for each in verdict.reasons],
        "not_judged": [_not_judged(each, spec) for each in verdict.not_judged],
        "by_code": [list(each) for each in verdict.by_code],
        "severities": [list(each) for each in verdict.severities],
        "words": dict(_words(verdict, spec, fruit)),
    }


def _reason(reason: Reason, spec: Spec) -> dict[str, Any]:
    own = _way(reason, spec)
    return {**own, "clause": reason.clause(spec), "others": [_way(each, spec) for each in reason.others]}


def _way(way: Reason, spec: Spec) -> dict[str, Any]:
    return {
        "class_id": way.class_id,
        "limit_id": way.limit_id,
        "limit_name": way.limit_name,
        "kinds": list(way.kinds),
        "value": pair(way.value),
        "at_least": way.at_least,
        "allowed": way.allowed.text(),
        "size_code": way.size_code,
        "variety": way.variety,
        "guards": way.guards,
        "sized_by": None if way.sized_by is None else pair(Fraction(way.sized_by)),
        "clause": way.own_clause(spec),
    }


def _not_judged(limit: NotJudged, spec: Spec) -> dict[str, Any]:
    return {
        "limit_id": limit.limit_id,
        "limit_name": limit.limit_name,
        "missing": list(limit.missing),
        "words": list(limit.words(spec)),
        "says": limit.says(spec),
    }


def _words(verdict: Verdict, spec: Spec, fruit: Fruit) -> Iterator[tuple[str, Any]]:
    """Those of the bench (``web/bench_view.py``)."""
    facts, sizes, count = facts_words(fruit, spec.crop), sizes_words(verdict), count_words(verdict)
    both = f"{sizes}, {count}" if count else sizes
    yield "class_word", "No class" if verdict.class_id is None else spec.grade_class(verdict.class_id).name
    yield "facts", facts
    yield "sizes", sizes
    yield "count", count
    yield "sizes_and_count", both
    yield "line", f"{facts}. {both[0].upper()}{both[1:]}"
    yield "why", [list(each) for each in why(verdict, spec)]
    yield "not_judged", [limit.says(spec) for limit in verdict.not_judged]
    yield "severities", list(verdict.severity_words(spec))
    yield "says", verdict.says(spec)
