"""What a sample shows: its fruit graded one by one, and the tally beside them."""

from dataclasses import dataclass

from shedgrade.storage.samples import SampleLine


@dataclass(frozen=True, slots=True)
class ConsignmentSamples:
    """The samples of a consignment as its page shows them, and what a new one can be counted for.

    ``trays`` are (id, name), the consignment's market's in their order.
    """

    consignment_id: int
    lines: tuple[SampleLine, ...]
    trays: tuple[tuple[int, str], ...]
    may_grade: bool
