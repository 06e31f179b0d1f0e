"""Where a figure comes from, and how well it is known."""

from dataclasses import dataclass
from enum import StrEnum


class Mark(StrEnum):
    """How a value is known; the value of each member is what a spec file says."""

    READ = "read"
    SECOND_HAND = "second-hand"
    INFERRED = "inferred"
    CALCULATED = "calculated"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    OUR_READING = "our reading"
    OUR_OWN = "our own"

    @property
    def says(self) -> str:
        """The mark as a person reads it."""
        return _SAYS[self]


_SAYS = {
    Mark.READ: "read in the text itself",
    Mark.SECOND_HAND: "read second-hand, in a page that repeats the text",
    Mark.INFERRED: "inferred from things read, the note gives the step",
    Mark.CALCULATED: "worked out from figures that were read",
    Mark.FROM_MEMORY: "from memory, confirm against the text",
    Mark.COMMON_PRACTICE: "common practice, not from a published text",
    Mark.OUR_READING: "our reading, the text gives no number",
    Mark.OUR_OWN: "our own figure, from no published text",
}


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value stands: the text, its edition, the section, how it is known, and a note for people.

    ``section``, ``note``, ``address`` (where the text was read) and ``on`` (the day it was read, "2026-03-01") may be
    empty. A row of a table may carry a source of its own.
    """

    standard: str
    edition: str
    section: str
    mark: Mark
    note: str = ""
    address: str = ""
    on: str = ""

    def below(self) -> "Source":
        """What a part inherits from this one: all but the note, which belongs to the place where it is written."""
        return Source(self.standard, self.edition, self.section, self.mark, address=self.address, on=self.on)

    def says(self) -> str:
        """One line: "Codex CXS 184, 1993, section 2.1 (read in the text itself)"."""
        place = [self.standard, self.edition, f"section {self.section}" if self.section else ""]
        return f"{', '.join(part for part in place if part)} ({self.mark.says})"
