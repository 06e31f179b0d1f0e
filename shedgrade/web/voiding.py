"""The form that voids a record: one shape and one way, whatever is voided."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from shedgrade.web.answers import Answers
from shedgrade.web.posted import Posted

_TOO_LATE = "It was voided before, as said here. Your reason was not stored."


@dataclass(frozen=True, slots=True)
class Voiding:
    """The form as typed, what is wrong with it, and a sentence if it came too late."""

    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""

    @property
    def status(self) -> int:
        """What it is answered with when it is shown again."""
        return 409 if self.notice else 422


def not_voided(posted: Posted, void: Callable[[str], bool]) -> Voiding | None:
    """Void for the reason that was posted; ``void`` says whether it did. None when it is done, else the form to show
    again."""
    answers = Answers(posted)
    reason = answers.text("reason")
    if answers.fine:
        return None if void(reason) else Voiding(posted, notice=_TOO_LATE)
    return Voiding(posted, answers.errors)
