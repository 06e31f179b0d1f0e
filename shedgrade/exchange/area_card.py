"""The area card as a sheet to print on clear film: every shape exact, so it must be printed at 100 %.

Drawn by typst, which keeps millimetres through to the printer. A shape's line is thin and its middle is the shape.
"""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from itertools import pairwise

from shedgrade.domain.true_size import CHECK_LINE_MM, UM_PER_MM, Shape, card_shapes
from shedgrade.domain.units import say_area

LINE_MM = 0.2
_EDGE_UM = 15_000
_APART_UM = 6_000
_LABEL_UM = 5_000
_LABEL_WIDTH_UM = 13_000
_WORDS_UM = 46_000  # what the title, the words and the check line take


class Paper(StrEnum):
    """The papers it is drawn for."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def words(self) -> str:
        """The paper as it stands on its packet."""
        return {"a4": "A4", "letter": "Letter"}[self.value]

    @property
    def size_um(self) -> tuple[int, int]:
        """Width and height in thousandths of a millimetre: ISO 216; 8.5 by 11 inches."""
        return {"a4": (210_000, 297_000), "letter": (215_900, 279_400)}[self.value]


def area_card(paper: Paper) -> bytes:
    """The card as a PDF of one page."""
    import typst  # noqa: PLC0415 - a large library for one sheet: loaded when one is asked for

    return typst.compile(_source(paper).encode(), format="pdf", ignore_system_fonts=True)


def _source(paper: Paper) -> str:
    width, height = paper.size_um
    return "\n".join(
        [
            '#set document(title: "Area card")',
            f"#set page(width: {_mm(width)}, height: {_mm(height)}, margin: 0mm)",
            f'#set text(lang: "en", size: 9pt)\n#set ellipse(stroke: {LINE_MM}mm)\n#set line(stroke: {LINE_MM}mm)',
            *_words(width),
            *_shapes(width),
        ]
    )


def _words(width: int) -> Iterator[str]:
    room = _mm(width - 2 * _EDGE_UM)
    yield _at(_EDGE_UM, 13_000, "text(size: 15pt, weight: 700)[Area card]")
    words = (
        "Print it on clear film at 100 % (“actual size”, never “fit to page”), then lay a ruler on the line: "
        f"it must be {CHECK_LINE_MM} mm long. If it is not, throw the sheet away. "
        "Lay the card over a mark: the smallest shape that hides it is its area. Keep it clean."
    )
    yield _at(_EDGE_UM, 21_000, f"block(width: {room})[{words}]")
    top = 36_000
    yield _at(_EDGE_UM, top, f"line(length: {CHECK_LINE_MM}mm)")
    for end in (0, CHECK_LINE_MM * UM_PER_MM):
        yield _at(_EDGE_UM + end, top - 2_000, "line(angle: 90deg, length: 4mm)")
    yield _at(_EDGE_UM + (CHECK_LINE_MM + 4) * UM_PER_MM, top - 1_500, f"[{CHECK_LINE_MM} mm]")


def _shapes(width: int) -> Iterator[str]:
    top = _WORDS_UM
    for row in _rows(card_shapes(), width - 2 * _EDGE_UM):
        left, tallest = _EDGE_UM, max(shape.height_um for shape in row)
        for shape in row:
            down = top + tallest - shape.height_um
            yield _at(left, down, f"ellipse(width: {_mm(shape.width_um)}, height: {_mm(shape.height_um)})")
            label = f"box(width: {_mm(max(shape.width_um, _LABEL_WIDTH_UM))})[#align(left)[{say_area(shape.area_mm2)}]]"
            yield _at(left, top + tallest + 1_500, label)
            left += max(shape.width_um, _LABEL_WIDTH_UM) + _APART_UM
        top += tallest + _LABEL_UM + _APART_UM


def _rows(shapes: Sequence[Shape], room: int) -> Iterator[list[Shape]]:
    """The shapes in their order, as many in a row as fit; circles and ellipses never share one."""
    row: list[Shape] = []
    for before, shape in pairwise((None, *shapes)):
        assert shape is not None
        wide = sum(max(each.width_um, _LABEL_WIDTH_UM) + _APART_UM for each in row) + shape.width_um
        if row and (wide > room or (before is not None and before.is_circle != shape.is_circle)):
            yield row
            row = []
        row.append(shape)
    yield row


def _at(left: int, top: int, what: str) -> str:
    return f"#place(top + left, dx: {_mm(left)}, dy: {_mm(top)}, {what})"


def _mm(um: int) -> str:
    return f"{um / UM_PER_MM:.3f}mm"
