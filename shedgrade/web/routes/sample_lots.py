"""A sample judged as one lot: whether it conforms to a class, by the tolerances and package limits of its spec."""

from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from shedgrade.domain.grading.load_limits import load_limits
from shedgrade.domain.grading.lot import judge_lot, no_basis
from shedgrade.domain.grading.lot_sections import sections
from shedgrade.domain.grading.lot_verdict import Inspection
from shedgrade.domain.grading.lot_words import Names, say_lot
from shedgrade.domain.grading.takes import GradingError
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.spec.tolerance import Basis
from shedgrade.domain.units import digits
from shedgrade.reports.sample import Rules, rules_of
from shedgrade.storage import bench
from shedgrade.storage.bench import BenchSample, MeasuredFruit
from shedgrade.storage.samples import sample_for
from shedgrade.web.answers import Answers
from shedgrade.web.ids import RowId
from shedgrade.web.lot_view import LotView, Packages, size_of_label, with_fruit
from shedgrade.web.pages import page
from shedgrade.web.state import ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter()

_MOST_FRUIT = 5000
_NOT_PACKED = (
    "Its fruit did not come out of one package: whether packages are uniform is not judged, and shares are of all of "
    "them."
)


@router.get("/samples/{sample_id}/lot")
def as_a_lot(request: Request, person: CurrentPerson, session: ReadSession, sample_id: RowId) -> HTMLResponse:
    """The sample's fruit as one lot: its trays are the packages where it is drawn from packed trays, else there are
    none."""
    sample_for(session, person, sample_id)
    sample = bench.bench_sample(session, sample_id)
    rules = rules_of(session, sample)
    packages: dict[int, list[MeasuredFruit]] = {}
    closed = _closed(sample)
    if not closed:
        by_tray = Question(sample.question) is Question.PACKED_TRAY
        for each in bench.fruit_after(session, sample_id, 0, sample.fruit):
            if each.voided is None:
                packages.setdefault(each.draw_id if by_tray else 0, []).append(each)
    view = _view(sample, rules, list(packages.values()), closed, Answers(request.query_params))
    return page(request, "samples/lot.html", view, status=422 if view.errors else 200)


def _closed(sample: BenchSample) -> str:
    if sample.sample_voided:
        return "This sample is voided: nothing of it counts any more."
    if sample.fruit == sample.voided:
        return "No fruit was measured in this sample yet."
    if sample.fruit > _MOST_FRUIT:
        return f"At most {digits(_MOST_FRUIT)} fruit are judged as a lot here; this sample has {digits(sample.fruit)}."
    return ""


def _view(sample: BenchSample, rules: Rules, packages: Packages, closed: str, answers: Answers) -> LotView:
    spec, by_tray = rules.spec, Question(sample.question) is Question.PACKED_TRAY
    said = "Each tray is one package." if by_tray else _NOT_PACKED
    view = LotView(
        f"{sample.consignment_name} as a lot", sample, spec, said, answers.typed, answers.errors, closed=closed
    )
    if closed:
        return view
    if not any(name in answers.typed for name in ("class", "size", "basis")):
        size, hint = size_of_label(rules, packages)
        only = {"basis": view.bases[0][0]} if len(view.bases) == 1 else {}
        return replace(view, typed={"size": size, **only}, size_hint=hint)
    class_id = answers.choice("class", {each.id: each.id for each in spec.classes})
    code = answers.choice("size", dict(view.sizes), needed=False)
    basis = answers.choice("basis", {value: Basis(value) for value, _ in view.bases})
    if class_id is not None and (unfit := no_basis(spec, class_id)):
        answers.refuse("class", f"{unfit}.")
    if class_id is None or basis is None or not answers.fine:
        return view
    names = Names(
        tuple(one[0].draw_name for one in packages) if by_tray else ("the sample",),
        tuple(tuple(each.number for each in one) for one in packages),
    )
    fruits = tuple(tuple(each.fruit for each in one) for one in packages)
    try:
        verdict = judge_lot(spec, Inspection(class_id, code, basis, fruits, rules.load, by_tray))
    except GradingError as mistake:
        answers.refuse("basis", f"{str(mistake)[:1].upper()}{str(mistake)[1:]}.")
        return view
    answer = f"{say_lot(verdict, spec)}: {digits(verdict.fruit)} fruit, counted by {basis}"
    laid_out = with_fruit(sections(verdict, spec, names), packages)
    return replace(view, answer=answer, sections=laid_out, asked=load_limits(spec, rules.load))
