"""Size breaks for the fruit of a consignment: the best ones, and what they give away beside the common ones."""

from collections.abc import Mapping
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.people import Deed
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.reports.judging import intake_fruit, judge
from shedgrade.reports.size_breaks import breaks_report, class_weights
from shedgrade.storage import intake, loads, markets, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.markets import Prices
from shedgrade.web.answers import Answers
from shedgrade.web.ids import RowId
from shedgrade.web.pages import page
from shedgrade.web.size_breaks_form import DEFAULTS, Asked, class_options, read_asked, texts_with_tolerance
from shedgrade.web.size_breaks_view import BreaksView, answer_of, breaks_found, few_fruit
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.whoami import ShedPerson

router = APIRouter()

_NO_FRUIT = "No fruit drawn before sorting was measured yet: take some from several bins first."
_NO_TRAY = "The market packs no tray yet. A shed manager gives it one under Markets."
_NONE_OF_CLASS = "None of the fruit looked at makes this class. Choose another."


@router.get("/consignments/{consignment_id}/breaks")
def shown(
    request: Request, person: ShedPerson, session: ReadSession, shed: CurrentShed, consignment_id: RowId
) -> HTMLResponse:
    """Where the breaks between counts should be set for these fruit, by a rule that the shed chooses."""
    whole = intake.consignment_for(session, person, consignment_id)
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    trays = {str(tray_id): tray for tray_id, tray in markets.market(session, whole.consignment.market_id).trays}
    prices = None
    if person.may(Deed.SEE_MARKETS):
        received_on = shed.clock.local(whole.consignment.received_at).date()
        prices = markets.prices_in_force(session, whole.consignment.market_id, received_on)
    view = _view(session, whole, spec, trays, prices, request.query_params)
    return page(request, "size_breaks/page.html", view, status=422 if view.errors else 200)


def _view(
    session: Session,
    whole: ConsignmentWhole,
    spec: Spec,
    trays: Mapping[str, TrayType],
    prices: Prices | None,
    query: Mapping[str, str],
) -> BreaksView:
    start = DEFAULTS | {"tray": next(iter(trays), ""), "class": spec.classes[0].id}
    answers = Answers(start | dict(query))
    view = BreaksView(
        f"Size breaks for {whole.name}",
        whole,
        "Where should the breaks stand?",
        answers.typed,
        answers.errors,
        tuple((key, tray.name) for key, tray in trays.items()),
        tuple(class_options(spec)),
        tuple(texts_with_tolerance()),
        has_prices=prices is not None,
    )
    if whole.voided:
        return replace(view, closed="This consignment is voided: nothing of it counts any more.")
    if not trays:
        return replace(view, closed=_NO_TRAY)
    by_bin = intake_fruit(session, [whole.id]).get(whole.id, ())
    if not by_bin:
        return replace(view, closed=_NO_FRUIT)
    asked = read_asked(answers, spec, trays, prices)
    if asked is None:
        return view
    judged = judge(spec, by_bin, asked.tray, loads.load_of(session, whole.id))
    return _found(view, answers, asked, class_weights(judged, asked.class_ids), prices)


def _found(
    view: BreaksView, answers: Answers, asked: Asked, draws: tuple[tuple[int, ...], ...], prices: Prices | None
) -> BreaksView:
    if not draws:
        answers.refuse("class", _NONE_OF_CLASS)
        return view
    report = breaks_report(draws, asked.packing, asked.day_g)
    currency = prices.currency if prices is not None and asked.in_money else ""
    found = breaks_found(report, asked.day_g, currency)
    return replace(view, answer=answer_of(report), few=few_fruit(report), found=found)
