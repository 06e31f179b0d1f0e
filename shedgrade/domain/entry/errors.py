"""The refusal of an entry, in words."""

_SHOWN = 24


class EntryError(ValueError):
    """An entry that cannot be taken: ``found`` says what was found, ``accepted`` what would be; str is the sentence.
    ``meant`` is what was likely meant, as it would be typed; "" where nobody can tell."""

    def __init__(self, found: str, accepted: str, meant: str = "") -> None:
        self.found = found
        self.accepted = accepted
        self.meant = meant
        super().__init__(f"{found}; {accepted}" if accepted.endswith("?") else f"{found}; {accepted}.")


class NoReading(EntryError):  # noqa: N818 - a scale that has not settled is no error of the person
    """The scale spoke, but not of a settled weight."""


def shown(text: str) -> str:
    """An entry in quotes as it can be shown: without control characters, shortened."""
    seen = "".join(sign if sign.isprintable() else " " for sign in text).strip()
    return f'"{seen}"' if len(seen) <= _SHOWN else f'"{seen[:_SHOWN]}…"'
