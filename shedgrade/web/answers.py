"""What was typed into a form, what it means, and what is wrong with it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from shedgrade.web.ids import row_id

T = TypeVar("T")
MISSING = "Fill this in."


@dataclass(slots=True)
class Answers:
    """Reads one form: each field is parsed into a typed value, or its mistake is kept beside its name.

    ``typed`` is what the page shows again when the form is refused.
    """

    typed: Mapping[str, str]
    errors: dict[str, str] = field(default_factory=dict)

    def text(self, name: str, *, needed: bool = True, longest: int = 200) -> str:
        """A line of text, trimmed; "" where nothing was typed or it was refused."""
        value = " ".join(self.typed.get(name, "").split())
        if needed and not value:
            self.refuse(name, MISSING)
        elif len(value) > longest:
            self.refuse(name, f"That is {len(value)} letters long; at most {longest} fit.")
            return ""
        return value

    def read(self, name: str, parse: Callable[[str], T], *, needed: bool = True) -> T | None:
        """The value ``parse`` makes of what was typed; None where nothing was typed or it was refused.

        ``parse`` says no by a ValueError whose text is the sentence shown beside the field.
        """
        value = self.typed.get(name, "").strip()
        if not value:
            if needed:
                self.refuse(name, MISSING)
            return None
        try:
            return parse(value)
        except ValueError as mistake:
            self.refuse(name, str(mistake))
            return None

    def choice(self, name: str, among: Mapping[str, T], *, needed: bool = True) -> T | None:
        """One of the values offered, by its key; something else was never on the form."""
        key = self.typed.get(name, "").strip()
        if not key:
            if needed:
                self.refuse(name, "Choose one.")
            return None
        if key not in among:
            self.refuse(name, "That is not one of the choices. Choose one from the list.")
            return None
        return among[key]

    def ticked(self, name: str) -> bool:
        """Whether a box was ticked."""
        return bool(self.typed.get(name))

    def version(self) -> int:
        """The version of the row the form was opened at; 0, which no row is at, if that was tampered with."""
        return row_id(self.typed.get("version", ""))

    def refuse(self, name: str, sentence: str) -> None:
        """Say what is wrong with a field; the first thing said about it stays."""
        self.errors.setdefault(name, sentence)

    @property
    def fine(self) -> bool:
        """Whether nothing was refused."""
        return not self.errors
