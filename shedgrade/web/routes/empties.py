"""Wet empties: weighed after tipping, they correct the net of a consignment once a bin type."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import TareFacts
from shedgrade.domain.units import digits, say_mass
from shedgrade.reports.net import weighed_bins
from shedgrade.storage import intake
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.net_panel import NetPanel, panel_of
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, say_moment
from shedgrade.web.routes.bins import read_empties
from shedgrade.web.standing import must_stand
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import Receiver

router = APIRouter(prefix="/consignments/{consignment_id}/empties")

# A wet bin weighs some kilograms more than a dry one, never the double: outside, a slip of the hand.
_MOST_TIMES_DRY = 2
_NET_FIRST = "Look at the net below first, then save."


@dataclass(frozen=True, slots=True)
class EmptiesFormView:
    """The form for the wet empties: bin types still to be weighed with how many came, and what stands already; or,
    ``worked_out``, the net as it would be."""

    title: str
    whole: ConsignmentWhole
    panel: NetPanel
    open_types: list[tuple[int, str]]
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    worked_out: bool = False
    notice: str = ""

    @property
    def shown(self) -> str:
        """What the page shows, for the form to carry."""
        return _shown(self.panel)


@router.get("")
def new(request: Request, person: Receiver, session: ReadSession, consignment_id: RowId) -> HTMLResponse:
    """An empty form."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    return page(request, "consignments/empties.html", _view(whole, {}, {}))


@router.post("", openapi_extra=publishes("type", "empties", "total", "do", "shown"))
def add(
    request: Request,
    person: Receiver,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    consignment_id: RowId,
) -> Response:
    """Work out the net that the wet empties make, or write them down; the net is corrected from then on."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    answers = Answers(posted)
    read = _read(answers, whole, shed.clock)
    panel = None if read is None else _panel_with(answers, whole, *read)
    view = _view(whole, posted, answers.errors)
    if read is None or panel is None:
        return page(request, "consignments/empties.html", view, status=422)
    saving = posted.get("do") == "save"
    if saving and posted.get("shown") == _shown(panel):
        actions.weigh_empties(session, whole, *read, shed.clock.now(), person.id)
        return done(request, session, person, posted, f"/consignments/{consignment_id}#net")
    view = replace(view, panel=panel, worked_out=True, notice=_NET_FIRST if saving else "")
    return page(request, "consignments/empties.html", view, status=422 if saving else 200)


def _panel_with(answers: Answers, whole: ConsignmentWhole, bin_type_id: int, facts: TareFacts) -> NetPanel | None:
    """The net as these empties would correct it; None if no fruit would be left, which is refused."""
    try:
        net = actions.net_with_empties(whole, whole.bin_types[bin_type_id].name, facts)
    except actions.NothingLeftError as mistake:
        answers.refuse("total", str(mistake))
        return None
    return NetPanel(net, weighed_bins(whole, net))


def _shown(panel: NetPanel) -> str:
    """What the page showed, in few letters: every correction and the net it leaves."""
    return " ".join(str(figure) for figure in (*(wet.correction_g for wet in panel.net.wet), panel.net.net_g))


def _read(answers: Answers, whole: ConsignmentWhole, clock: Clock) -> tuple[int, TareFacts] | None:
    bin_type = answers.choice("type", {str(key): each for key, each in whole.bin_types.items()})
    if bin_type is not None:
        _refuse_second(answers, whole, bin_type.id or 0, clock)
    read = read_empties(answers)
    if bin_type is None or read is None:
        return None
    empties, total_g = read
    _refuse_too_many(answers, whole, bin_type.id or 0, empties)
    _refuse_unlike_dry(answers, whole, bin_type.name, Fraction(total_g, empties))
    if not answers.fine:
        return None
    return bin_type.id or 0, TareFacts(clock.today(), empties, total_g, wet=True)


def _refuse_second(answers: Answers, whole: ConsignmentWhole, bin_type_id: int, clock: Clock) -> None:
    stands = next((row for row in whole.empties if row.bin_type_id == bin_type_id), None)
    if stands is None:
        return
    tare = whole.tares[stands.tare_id]
    name = whole.bin_types[bin_type_id].name
    places = panel_of(whole).places
    changed = next(line for line in panel_of(whole).net.wet if line.tare.bin_type == name)
    answers.refuse(
        "type",
        f"The wet empties of {name} were weighed on {say_moment(clock.local(stands.weighed_at))}: {tare.empties} for "
        f"{say_mass(tare.total_g, places)}, {say_mass(changed.correction_g, places)} in the net. That weighing stands.",
    )


def _refuse_too_many(answers: Answers, whole: ConsignmentWhole, bin_type_id: int, empties: int) -> None:
    came = sum(each.bin_type_id == bin_type_id for each in whole.bins)
    if empties > came:
        accepted = "1" if came == 1 else f"1 to {came}"
        answers.refuse("empties", f"{empties} is more than the {came} of that type that came; {accepted} is accepted.")


def _refuse_unlike_dry(answers: Answers, whole: ConsignmentWhole, bin_type: str, wet_g: Fraction) -> None:
    dry = next(tare for tare in panel_of(whole).tares if tare.bin_type == bin_type)
    if not dry.mean_g / _MOST_TIMES_DRY <= wet_g <= dry.mean_g * _MOST_TIMES_DRY:
        answers.refuse(
            "total",
            f"That makes {say_mass(wet_g, 1)} an empty, and a dry one weighs {say_mass(dry.mean_g, 1)}; "
            f"from half to {digits(_MOST_TIMES_DRY)} times that is accepted.",
        )


def _view(whole: ConsignmentWhole, typed: Mapping[str, str], errors: Mapping[str, str]) -> EmptiesFormView:
    weighed = {row.bin_type_id for row in whole.empties}
    came = {key: sum(each.bin_type_id == key for each in whole.bins) for key in whole.bin_types}
    open_types = [
        (key, f"{each.name}, {came[key]} came") for key, each in whole.bin_types.items() if key not in weighed
    ]
    return EmptiesFormView(f"Wet empties of {whole.name}", whole, panel_of(whole), open_types, typed, errors)
