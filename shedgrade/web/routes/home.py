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
    """One thing to set up: what, why, and the pages where it is done. A shed can begin without what is no ``must``."""

    what: str
    why: str
    links: tuple[tuple[str, str], ...]
    done: bool
    must: bool = True


@dataclass(frozen=True, slots=True)
class RoadView:
    """What a new shed needs, in order."""

    title: str
    steps: tuple[Step, ...]

    @property
    def needed(self) -> tuple[Step, ...]:
        """The steps without which no shed begins."""
        return tuple(step for step in self.steps if step.must)

    @property
    def done(self) -> int:
        """How many of those are behind."""
        return sum(step.done for step in self.needed)

    @property
    def next(self) -> Step | None:
        """The first of those that is not done yet."""
        return next((step for step in self.needed if not step.done), None)


@router.get("/")
def home(request: Request, person: CurrentPerson, session: ReadSession) -> Response:
    """The shed's people start at what came in, a grower at their own blocks; who sets the shed up is shown the way
    until everything is there, and then where to go first until fruit has come in."""
    if person.may(Deed.KEEP_SETTINGS):
        there = beginnings(session)
        road = RoadView("Setting up the shed", _steps(there))
        if road.next or not there.docket:
            return page(request, "home/page.html", road)
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
            "The market is there, its prices are missing: open it and set them. They say what a pack-out is worth."
            if there.market and not there.prices
            else "Its spec judges the fruit, its prices say what a pack-out is worth. It takes tray types from above.",
            (("Markets", "/markets"), ("Specs", "/specs")),
            there.prices,
        ),
        Step(
            "The people who work here",
            "Everybody signs in by their own name.",
            (("People", "/people"),),
            there.people,
        ),
        Step(
            "A shed tablet, if you use one",
            "On a tablet of the shed a PIN is enough. At a desk everybody signs in by password.",
            (("Tablets", "/devices"),),
            there.tablet,
            must=False,
        ),
    )
