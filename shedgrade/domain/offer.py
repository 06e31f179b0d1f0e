"""A line offered to a buyer: so many trays of a class and count at a price, and where they will come from."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum


class PriceOrigin(StrEnum):
    """How the price of a line is known."""

    LIST = "list"
    TYPED = "typed"


@dataclass(frozen=True, slots=True)
class Offer:
    """Trays of one class and count. ``price_minor`` is for one tray, in the currency's smallest unit.

    ``likely`` and ``promised`` are what was likely there and could be promised when it was offered, less what other
    quotes held; ``holds`` are the trays put on each consignment, by its id.
    """

    class_id: str
    count: int
    trays: int
    price_minor: int
    price_origin: PriceOrigin
    likely: int
    promised: int
    holds: Mapping[int, int]

    @property
    def line_minor(self) -> int:
        """The money of the line: whole trays at a whole price, so nothing is left to round."""
        return self.trays * self.price_minor


def sum_minor(offers: Iterable[Offer]) -> int:
    """The money of all lines: the sum of the lines as they are shown."""
    return sum(offer.line_minor for offer in offers)
