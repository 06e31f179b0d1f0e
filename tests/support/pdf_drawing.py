"""What is drawn in a PDF, measured in it: every stroked path in millimetres, its area, its extent."""

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from math import hypot

from pypdf import PdfReader
from pypdf.generic import ContentStream, FloatObject

MM_PER_POINT = 25.4 / 72  # ISO 32000-1, 8.3.2.3: a unit of user space is 1/72 inch
Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]
_PIECES = 400  # of each curve when it is measured
_AS_IT_IS: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(slots=True)
class Path:
    """A stroked path as points in mm; curves are cut into many short pieces."""

    points: list[Point] = field(default_factory=list)

    @property
    def area(self) -> float:
        """What it goes round, in mm² (the shoelace formula)."""
        around = zip(self.points, [*self.points[1:], self.points[0]], strict=True)
        return abs(sum(x * next_y - next_x * y for (x, y), (next_x, next_y) in around)) / 2

    @property
    def length(self) -> float:
        """In mm."""
        return sum(hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in zip(self.points, self.points[1:], strict=False))

    @property
    def size(self) -> tuple[float, float]:
        """How wide and how high it is, in mm."""
        across, down = zip(*self.points, strict=True)
        return max(across) - min(across), max(down) - min(down)

    @property
    def corners(self) -> tuple[float, float, float, float]:
        """Its least and greatest x, then y, from the lower left of the page."""
        across, down = zip(*self.points, strict=True)
        return min(across), max(across), min(down), max(down)

    @property
    def is_round(self) -> bool:
        """Whether it goes round something."""
        return len(self.points) > 2


@dataclass(slots=True)
class Drawing:
    """One page: its size in mm, its words, its stroked paths, and how thick they are drawn."""

    size: tuple[float, float]
    words: str
    paths: list[Path]
    line_mm: set[float]


def drawing(pdf: bytes) -> Drawing:
    """The one page of a PDF."""
    reader = PdfReader(io.BytesIO(pdf))
    (page,) = reader.pages
    content = page.get_contents()
    assert isinstance(content, ContentStream)
    operations = [
        ([float(each) if isinstance(each, FloatObject | int) else 0 for each in some], name)
        for some, name in content.operations
    ]
    size = float(page.mediabox.width) * MM_PER_POINT, float(page.mediabox.height) * MM_PER_POINT
    widths = {round(some[0] * MM_PER_POINT, 4) for some, name in operations if name == b"w"}
    return Drawing(size, page.extract_text(), list(_paths(operations)), widths)


def _paths(operations: list[tuple[list[float], bytes]]) -> Iterator[Path]:
    here, outer, path = _AS_IT_IS, list[Matrix](), Path()
    for numbers, name in operations:
        if name == b"q":
            outer.append(here)
        elif name == b"Q":
            here = outer.pop()
        elif name == b"cm":
            here = _times(_matrix(numbers), here)
        elif name == b"m":
            path = Path([_at(here, numbers)])
        elif name == b"l":
            path.points.append(_at(here, numbers))
        elif name == b"c":
            path.points += _curve(path.points[-1], *(_at(here, numbers[each : each + 2]) for each in (0, 2, 4)))
        elif name in (b"S", b"s"):
            yield path


def _curve(start: Point, one: Point, two: Point, end: Point) -> list[Point]:
    """The cubic Bézier curve, as points."""
    steps = [place / _PIECES for place in range(1, _PIECES + 1)]
    weights = [((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3) for t in steps]
    return [
        (
            sum(weight * each[0] for weight, each in zip(some, (start, one, two, end), strict=True)),
            sum(weight * each[1] for weight, each in zip(some, (start, one, two, end), strict=True)),
        )
        for some in weights
    ]


def _matrix(numbers: list[float]) -> Matrix:
    a, b, c, d, e, f = numbers
    return a, b, c, d, e, f


def _times(one: Matrix, other: Matrix) -> Matrix:
    """One transformation, then the other (ISO 32000-1, 8.3.4)."""
    a, b, c, d, e, f = one
    aa, bb, cc, dd, ee, ff = other
    return (
        a * aa + b * cc,
        a * bb + b * dd,
        c * aa + d * cc,
        c * bb + d * dd,
        e * aa + f * cc + ee,
        e * bb + f * dd + ff,
    )


def _at(here: Matrix, numbers: list[float]) -> Point:
    a, b, c, d, e, f = here
    x, y = numbers
    return (a * x + c * y + e) * MM_PER_POINT, (b * x + d * y + f) * MM_PER_POINT
