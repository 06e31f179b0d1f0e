"""The first page: where each role's day begins, and in a new shed what is to be set up first."""

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.domain.people import Deed
from shedgrade.storage.beginnings import Beginnings, beginnings
from shedgrade.web.pages import page, see
from shedgrade.web.state import ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to set up: what, why, and the pages where it is done."""

    what: str
    why: str
    links: tuple[tuple[str, str], ...]
    done: bool


@dataclass(frozen=True, slots=True)
class RoadView:
    """What a new shed needs, in order."""

    title: str
    steps: tuple[Step, ...]

    @property
    def done(self) -> int:
        """How many steps are behind."""
        return sum(step.done for step in self.steps)

    @property
    def next(self) -> Step:
        """The first step that is not done yet."""
        return next(step for step in self.steps if not step.done)


@router.get("/")
def home(request: Request, person: CurrentPerson, session: ReadSession) -> Response:
    """The shed's people start at what came in, a grower at their own blocks; who sets the shed up is shown the way
    until everything is there."""
    if person.may(Deed.KEEP_SETTINGS):
        steps = _steps(beginnings(session))
        if not all(step.done for step in steps):
            return page(request, "home/page.html", RoadView("Setting up the shed", steps))
    return see("/consignments" if person.may(Deed.SEE_SHED) else "/blocks")


def _steps(there: Beginnings) -> tuple[Step, ...]:
    return (
        Step("Growers and their blocks", "Fruit comes from a block.", (("Growers", "/growers"),), there.block),
        Step(
            "Bins, and some of them weighed empty",
            "The net is what the scale shows less what the empty bins weigh.",
            (("Bins and tares", "/bins"),),
            there.tare,
        ),
        Step("Tray types", "Fruit is counted for the trays it is packed in.", (("Tray types", "/trays"),), there.tray),
        Step(
            "A market, with its spec and its prices",
            "Its spec judges the fruit, its prices say what a pack-out is worth.",
            (("Markets", "/markets"), ("Specs", "/specs")),
            there.prices,
        ),
        Step(
            "The people, and the tablets they use",
            "Everybody signs in by their own name.",
            (("People", "/people"), ("Tablets", "/devices")),
            there.people,
        ),
    )
