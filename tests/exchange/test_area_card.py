"""The area card, measured in the PDF itself: what a printer is told to draw, not what we meant to draw."""

from itertools import combinations
from math import pi, sqrt

import pytest

from shedgrade.exchange.area_card import LINE_MM, Paper, area_card
from tests.support.pdf_drawing import Drawing, Path, drawing

# What the card is to show: 0.25 to 12 cm², each as a circle and as an ellipse.
AREAS_CM2 = [0.25, 0.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12]
# ISO 216 for A4; 8.5 by 11 inches for Letter (common practice).
SIZES_MM = {Paper.A4: (210, 297), Paper.LETTER: (215.9, 279.4)}
WITHIN_MM = 0.1
MOST_PRINTERS_LEAVE_MM = 6.4  # a quarter inch off the edge nothing is printed by many printers (common practice)


@pytest.fixture(scope="module", params=Paper)
def sheet(request: pytest.FixtureRequest) -> tuple[Paper, Drawing]:
    return request.param, drawing(area_card(request.param))


def shapes(drawn: Drawing) -> list[Path]:
    return [each for each in drawn.paths if each.is_round]


def is_circle(path: Path) -> bool:
    width, height = path.size
    return abs(width - height) < WITHIN_MM


def test_the_sheet_is_as_large_as_its_paper(sheet: tuple[Paper, Drawing]) -> None:
    paper, drawn = sheet
    assert drawn.size == pytest.approx(SIZES_MM[paper], abs=0.01)


def test_every_circle_has_its_area_and_is_round(sheet: tuple[Paper, Drawing]) -> None:
    found = [each for each in shapes(sheet[1]) if is_circle(each)]
    for path, cm2 in zip(found, AREAS_CM2, strict=True):
        across = sqrt(4 * cm2 * 100 / pi)
        assert path.size == pytest.approx((across, across), abs=WITHIN_MM)
        assert path.area == pytest.approx(cm2 * 100, rel=0.001)


def test_every_ellipse_has_its_area_and_is_twice_as_wide_as_high(sheet: tuple[Paper, Drawing]) -> None:
    found = [each for each in shapes(sheet[1]) if not is_circle(each)]
    for path, cm2 in zip(found, AREAS_CM2, strict=True):
        high = sqrt(2 * cm2 * 100 / pi)
        assert path.size == pytest.approx((2 * high, high), abs=WITHIN_MM)
        assert path.area == pytest.approx(cm2 * 100, rel=0.001)


def test_the_check_line_is_a_hundred_millimetres_between_its_ends(sheet: tuple[Paper, Drawing]) -> None:
    line, *ends = sorted((each for each in sheet[1].paths if not each.is_round), key=lambda path: -path.length)
    assert line.length == pytest.approx(100, abs=0.01)
    assert line.size == pytest.approx((100, 0), abs=0.01)
    assert [end.size for end in ends] == [pytest.approx((0, 4), abs=0.01)] * 2
    at = sorted(end.corners[0] for end in ends)
    assert at == pytest.approx([line.corners[0], line.corners[1]], abs=0.01)


def test_lines_are_thin_and_every_shape_has_its_area_beneath(sheet: tuple[Paper, Drawing]) -> None:
    drawn = sheet[1]
    assert drawn.line_mm == {LINE_MM}
    said = drawn.words.replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert [said.count(f"{cm2:g} cm²") for cm2 in (0.25, 1.5, 4, 8)] == [2] * 4
    assert "at 100 %" in said
    assert "100 mm long" in said


def test_nothing_touches_and_all_of_it_can_be_printed(sheet: tuple[Paper, Drawing]) -> None:
    drawn = sheet[1]
    for path in drawn.paths:
        left, right, bottom, top = path.corners
        assert min(left, bottom, drawn.size[0] - right, drawn.size[1] - top) > MOST_PRINTERS_LEAVE_MM
    for one, other in combinations(shapes(drawn), 2):
        assert apart(one, other) > 2


def apart(one: Path, other: Path) -> float:
    (left, right, bottom, top), (left2, right2, bottom2, top2) = one.corners, other.corners
    return max(left - right2, left2 - right, bottom - top2, bottom2 - top)
