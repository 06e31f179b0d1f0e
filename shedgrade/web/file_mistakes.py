"""A mistake in a spec file in words for somebody who grows or packs fruit, beside those of the file's own language."""

from shedgrade.domain.spec.mistakes import NOT_A_FILE, Mistake
from shedgrade.domain.spec.reading_rows import NEVER_REACHED

_BY_WHAT_IS_ACCEPTED = (
    (
        "a comparator",
        (
            "The figure does not say whether it is the most or the least. At most is written <=, at least >=, under <, "
            "over >, before the figure and with it in quotes."
        ),
    ),
    ("did you mean", "This word is not known here; it may be a slip of the pen."),
    ("one of", "This word is not known here. Write one of those that would be accepted."),
)


def plainly(mistake: Mistake) -> str:
    """What is wrong and what to do, in a sentence or two."""
    if mistake.accepted == NOT_A_FILE:
        return (
            f"Line {mistake.line} cannot be read: a sign is missing there or in the line before, or there is one too "
            "many. Most often it is a quotation mark, a bracket or an equals sign."
        )
    if mistake.found == "nothing":
        return "Something that every spec must say is missing here. Add it."
    if mistake.found.startswith(NEVER_REACHED):
        return "No fruit ever comes to this row, because a row above it decides first. Take one of them out."
    for sign, said in _BY_WHAT_IS_ACCEPTED:
        if sign in mistake.accepted:
            return said
    return "What stands here does not fit. Put there what would be accepted."
