"""The form that voids a record: one shape, whatever is voided."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Voiding:
    """The form as typed, what is wrong with it, and a sentence if it came too late."""

    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""
