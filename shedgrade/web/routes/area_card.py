"""The area card: a sheet of shapes of known area to print, and the same shapes on this screen at true size."""

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.domain.true_size import (
    BANK_CARD_CORNER_UM,
    BANK_CARD_SOURCE,
    BANK_CARD_UM,
    CHECK_LINE_MM,
    Shape,
    card_shapes,
)
from shedgrade.exchange.area_card import Paper, area_card
from shedgrade.storage.missing import MissingError
from shedgrade.web.pages import page
from shedgrade.web.whoami import ShedPerson

router = APIRouter()


@dataclass(frozen=True, slots=True)
class AreaCardView:
    """The papers to print on, and the shapes."""

    title: str
    papers: tuple[Paper, ...]
    line_mm: int
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class ScreenView:
    """The outline of a bank card, in thousandths of a millimetre, and where its size is from."""

    title: str
    width_um: int
    height_um: int
    corner_um: int
    source: str


@router.get("/area-card")
def offered(request: Request, _person: ShedPerson) -> HTMLResponse:
    """How to print the card, and what it looks like."""
    view = AreaCardView("Area card", tuple(Paper), CHECK_LINE_MM, card_shapes())
    return page(request, "area_card/page.html", view)


@router.get("/area-card/{paper}")
def as_file(_person: ShedPerson, paper: str) -> Response:
    """The card as a PDF, for one paper."""
    if paper not in set(Paper):
        raise MissingError
    headers = {"content-disposition": f'attachment; filename="area-card-{paper}.pdf"'}
    return Response(area_card(Paper(paper)), media_type="application/pdf", headers=headers)


@router.get("/screen")
def fitted(request: Request, _person: ShedPerson) -> HTMLResponse:
    """Fit this screen to a real bank card, so that shapes are as large as they say. The browser keeps it."""
    view = ScreenView("Fit this screen", *BANK_CARD_UM, BANK_CARD_CORNER_UM, BANK_CARD_SOURCE.says())
    return page(request, "area_card/screen.html", view)
