"""The first page: where each role's day begins."""

from fastapi import APIRouter
from fastapi.responses import RedirectResponse

from shedgrade.domain.people import Deed
from shedgrade.web.pages import see
from shedgrade.web.whoami import CurrentPerson

router = APIRouter()


@router.get("/")
def home(person: CurrentPerson) -> RedirectResponse:
    """The shed's people start at what came in, a grower at their own blocks."""
    return see("/consignments" if person.may(Deed.SEE_SHED) else "/blocks")
