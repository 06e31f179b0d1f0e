"""Yes, no, or not judged: how answers are put together when not everything was taken."""

from collections.abc import Iterable

from shedgrade.domain.grading.plan import Answer

Told = bool | None
"""True, False, or None where nobody can say."""


def any_of(told: Iterable[Told]) -> Told:
    """Whether at least one holds: one True settles it, else one None leaves it open."""
    seen = set(told)
    return True if True in seen else None if None in seen else False


def all_of(told: Iterable[Told]) -> Told:
    """Whether every one holds: one False settles it, else one None leaves it open."""
    seen = set(told)
    return False if False in seen else None if None in seen else True


def opposite(told: Told) -> Told:
    """Not."""
    return None if told is None else not told


def answer_of(told: Told) -> Answer:
    """The same as an answer of the grader."""
    return Answer.NOT_JUDGED if told is None else Answer.HOLDS if told else Answer.BROKEN
