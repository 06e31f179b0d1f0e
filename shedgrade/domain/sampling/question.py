"""What a sample answers. Samples of different questions are never put together."""

from enum import StrEnum

from shedgrade.domain.units import digits


class Question(StrEnum):
    """Where its fruit are drawn from, and so what it can say."""

    INTAKE = "intake"
    TABLE = "table"
    PACKED_TRAY = "packed tray"
    REJECT_BELT = "reject belt"

    @property
    def label(self) -> str:
        """Where the fruit are drawn from."""
        return {
            "intake": "Bins at intake",
            "table": "The table",
            "packed tray": "Packed trays",
            "reject belt": "The reject belt",
        }[self.value]

    @property
    def asks(self) -> str:
        """The question in full."""
        return {
            "intake": "What is this consignment like?",
            "table": "What comes over the table?",
            "packed tray": "What is in the packed trays?",
            "reject belt": "What is on the reject belt?",
        }[self.value]

    @property
    def feeds_pack_out(self) -> bool:
        """Only fruit drawn before any sorting say what the consignment packs out to."""
        return self is Question.INTAKE

    @property
    def draw_word(self) -> str:
        """What one draw of it is called."""
        return {"intake": "bin", "packed tray": "tray"}.get(self.value, "draw")

    def fruit_from(self, fruit: int, draws: int) -> str:
        """How much was looked at: "23 fruit from 3 bins"."""
        return f"{digits(fruit)} fruit from {digits(draws)} {self.draw_word}{'' if draws == 1 else 's'}"
