"""What the samples of a run's consignments let expect of its pack-out."""

from dataclasses import dataclass
from fractions import Fraction

from sqlmodel import Session

from shedgrade.domain.run.balance import received_g
from shedgrade.domain.sampling.drawn import Base, Sample
from shedgrade.domain.sampling.estimate import Estimate, scaled
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.sampling.totals import total
from shedgrade.reports.findings import CONFIDENCE
from shedgrade.reports.judging import graded, intake_fruit, judge
from shedgrade.reports.tray_choice import chosen_tray
from shedgrade.storage import draws, loads, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.runs import RunWhole


@dataclass(frozen=True, slots=True)
class Forecast:
    """The pack-out that samples let expect, as a share of the received net, weighted by what was tipped of each
    consignment (received, while nothing was). None where a consignment was not sampled: ``missing`` are their names."""

    pack_out: Estimate | None
    missing: tuple[str, ...]


def forecast_of(session: Session, run: RunWhole) -> Forecast:
    """The forecast of a run; it costs what its samples hold, however many trays were packed."""
    found = {whole.id: _of_one(session, whole) for whole in run.loads}
    missing = tuple(whole.name for whole in run.loads if found[whole.id] is None)
    weights = {load.id: received_g(run.state, load.id) for load in run.state.loads}
    if not sum(weights.values()):
        weights = {load.id: load.net_g for load in run.state.loads}
    whole_g = sum(weights.values())
    parts = [
        scaled(estimate, Fraction(weights[load_id], whole_g))
        for load_id, estimate in found.items()
        if estimate is not None and weights[load_id]
    ]
    return Forecast(total(parts) if parts and not missing else None, missing)


def _of_one(session: Session, whole: ConsignmentWhole) -> Estimate | None:
    by_bin = intake_fruit(session, [whole.id]).get(whole.id, ())
    if not by_bin:
        return None
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    counted = [each for each in draws.samples_of_all(session, [whole.id]) if each.question == Question.INTAKE]
    tray = chosen_tray(session, whole.consignment.market_id, counted).tray
    judged = graded(judge(spec, by_bin, tray, loads.load_of(session, whole.id)))
    return Sample.of(judged, 1).by_weight(lambda fruit: fruit.packed, CONFIDENCE, Base.PACK_OUT)
