"""The packing card as Chromium prints it: on one sheet of A4 either way, its circles right on paper."""

import io
from math import pi, sqrt

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

from shedgrade.domain.people import Role
from shedgrade.domain.run.events import Break
from shedgrade.storage.database import Database
from tests.support import running, season, worked
from tests.support.browsing import sign_in
from tests.support.pdf_drawing import drawing

A4 = (210, 297)


@pytest.fixture
def card(page: Page, site: str, sqlite_database: Database) -> Page:
    """The card of a run under the standard with the most limits, three classes by three sizes."""
    with sqlite_database.writing() as session:
        found = worked.consignment(session)
        counts = zip((14, 16, 18, 20), (5000, 4380, 3890, 3500), strict=True)
        run_id = running.started(
            session, found.consignment, (found.tray,), tuple(Break(found.tray, *each) for each in counts)
        )
        grader = season.shed_person(session, "Bench", Role.GRADER)
        session.commit()
    sign_in(page.context, site, sqlite_database, grader)
    page.goto(f"{site}/runs/{run_id}/card")
    return page


def printed(card: Page, *, lying: bool) -> bytes:
    if lying:
        card.goto(f"{card.url}?paper=lying")
    return card.pdf(prefer_css_page_size=True)


@pytest.mark.parametrize("lying", [False, True], ids=["upright", "lying"])
def test_it_is_one_sheet_with_circles_right_to_a_third_of_a_millimetre(card: Page, *, lying: bool) -> None:
    """Codex CXS 184-1993, from memory: 3, 4, 5 and 5, 6, 7 cm². √(4 A / π)."""
    pdf = printed(card, lying=lying)
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 1
    sheet = drawing(pdf)
    assert sheet.size == pytest.approx(A4[::-1] if lying else A4, abs=0.5)
    circles = sorted(path.size[0] for path in sheet.paths if len(path.points) > 100)
    assert circles == pytest.approx([sqrt(400 * cm2 / pi) for cm2 in (3, 4, 5, 5, 6, 7)], abs=0.3)
    for path in (path for path in sheet.paths if len(path.points) > 100):
        assert path.size[0] == pytest.approx(path.size[1], abs=0.1)


def test_a_screen_fitted_otherwise_prints_the_same(card: Page) -> None:
    card.evaluate("localStorage.setItem('dots-per-mm', '7')")
    card.reload()
    circles = sorted(path.size[0] for path in drawing(printed(card, lying=False)).paths if len(path.points) > 100)
    assert circles[0] == pytest.approx(sqrt(1200 / pi), abs=0.3)
