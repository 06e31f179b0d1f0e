"""The fruit of intake samples, put together by bin and judged under a spec: where every pack-out figure begins."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction

from sqlmodel import Session

from shedgrade.domain.grading.facts import Load
from shedgrade.domain.grading.many.graded import Placing
from shedgrade.domain.grading.one import Verdict, borne_out, grade
from shedgrade.domain.packout import GradedFruit, loose_value, tray_value
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage import draws, samples
from shedgrade.storage.markets import Prices
from shedgrade.storage.samples import DrawnFruit

# The fruit of a consignment, bin by bin.
ByBin = tuple[tuple[DrawnFruit, ...], ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """One fruit: as it was drawn, what the spec says of it, and what the estimates need of that."""

    drawn: DrawnFruit
    verdict: Verdict
    graded: GradedFruit


JudgedDraws = tuple[tuple[Judged, ...], ...]


def intake_fruit(session: Session, consignment_ids: Collection[int]) -> dict[int, ByBin]:
    """By consignment, the fruit of all its intake samples, bin by bin.

    A bin drawn from twice, in one sample or in two, is one draw: its fruit resemble each other however often
    somebody went to it. Samples of another question never get in.
    """
    bins = draws.bins_of_draws(session, consignment_ids)
    found: dict[int, dict[tuple[str, int], list[DrawnFruit]]] = defaultdict(lambda: defaultdict(list))
    for fruit in samples.drawn_fruit(session, consignment_ids=consignment_ids):
        bin_id = bins[fruit.draw_id]
        place = ("draw", fruit.draw_id) if bin_id is None else ("bin", bin_id)
        found[fruit.consignment_id][place].append(fruit)
    return {key: tuple(tuple(fruit) for fruit in places.values()) for key, places in found.items()}


def judge(spec: Spec, by_bin: ByBin, tray: TrayType | None, load: Load, prices: Prices | None = None) -> JudgedDraws:
    """Every fruit of a load under the spec, counted for the tray, at these prices."""
    return tuple(tuple(_judged(spec, drawn, tray, load, prices) for drawn in fruit) for fruit in by_bin)


def graded(judged: JudgedDraws) -> tuple[tuple[GradedFruit, ...], ...]:
    """What the estimates take."""
    return tuple(tuple(each.graded for each in draw) for draw in judged)


def _judged(spec: Spec, drawn: DrawnFruit, tray: TrayType | None, load: Load, prices: Prices | None) -> Judged:
    # A code from the pack that the fruit does not bear out is left aside: its size is what was measured.
    verdict = grade(spec, drawn.fruit, tray, borne_out(spec, drawn.fruit, drawn.size_code, load), load)
    count = None if verdict.count is None else verdict.count.count
    outlet_id = None if verdict.outlet is None else verdict.outlet.id
    value = None if prices is None else value_of(prices, tray, verdict, drawn.fruit.weight_dg)
    return Judged(
        drawn, verdict, GradedFruit(drawn.fruit.weight_dg, verdict.class_id, count, outlet_id, verdict.packed, value)
    )


def value_of(prices: Prices, tray: TrayType | None, verdict: Verdict | Placing, weight_dg: int) -> Fraction | None:
    """What a fruit is worth by its verdict, in minor units: its share of a tray, or by weight where it goes loose. None
    where it has no price."""
    if verdict.outlet is not None:
        per_kg = prices.outlet_kg_minor.get(verdict.outlet.id)
        return None if per_kg is None else loose_value(per_kg, weight_dg)
    count = None if verdict.count is None else verdict.count.count
    price = _tray_price(prices.tray_minor, tray, verdict.class_id, count)
    return None if price is None or count is None else tray_value(price, count)


def _tray_price(
    tray_minor: Mapping[tuple[int, str, int], int], tray: TrayType | None, class_id: str | None, count: int | None
) -> int | None:
    if tray is None or class_id is None or count is None:
        return None
    return tray_minor.get((int(tray.id), class_id, count))
