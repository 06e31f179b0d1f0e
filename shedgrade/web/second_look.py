"""What is likely a slip comes back once for a second look; the same sent again is taken as meant."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(slots=True)
class SecondLook:
    """Asks about fields of one form. What was shown goes along in a hidden field, so that a slip made since is asked
    about afresh. ``asked`` are the sentences by field, ``carried`` the hidden fields that the form must hold."""

    typed: Mapping[str, str]
    asked: dict[str, str] = field(default_factory=dict)
    carried: dict[str, str] = field(default_factory=dict)

    def ask(self, name: str, shown: str, sentence: str) -> None:
        """Ask about a field whose value was ``shown`` to the person, unless that very value was asked about before."""
        seen = seen_field(name)
        self.carried[seen] = shown
        if self.typed.get(seen) != shown:
            self.asked[name] = f"{sentence} Save again if that is right."


def seen_field(name: str) -> str:
    """The name of the hidden field that says what was asked about a field."""
    return f"seen-{name}"
