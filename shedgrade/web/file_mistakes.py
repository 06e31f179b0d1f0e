"""A mistake in a spec file in words for somebody who grows or packs fruit, beside those of the file's own language."""

from shedgrade.domain.spec.mistakes import Mistake, Wrong

_SAID = {
    Wrong.NOT_A_FILE: (
        "Line {line} cannot be read: a sign is missing there or in the line before, or there is one too many. Most "
        "often it is a quotation mark, a bracket or an equals sign."
    ),
    Wrong.MISSING: "Something that every spec must say is missing here. Add it.",
    Wrong.UNKNOWN: "This word is not known here. Write one of those that would be accepted.",
    Wrong.SLIP: "This word is not known here; it may be a slip of the pen.",
    Wrong.TWICE: "This stands here already. Take one of the two out, or call it something else.",
    Wrong.NOT_HERE: "This cannot stand beside what else stands here. Take it out, or add what belongs to it.",
    Wrong.NEVER_REACHED: "No fruit ever comes to this row, because a row above it decides first. Take one of them out.",
    Wrong.NO_COMPARATOR: (
        "The figure does not say whether it is the most or the least. At most is written <=, at least >=, under <, "
        "over >, before the figure and with it in quotes."
    ),
    Wrong.MISWRITTEN: "This amount is not written as a spec file writes it. Write it as it would be accepted.",
    Wrong.UNREADABLE: (
        "This amount cannot be read. Write a sign for at most or at least, a figure in digits and a unit that fits."
    ),
    Wrong.OTHER_UNIT: "This amount is in a unit that does not fit what is measured here. Write it in one that does.",
    Wrong.TOO_MUCH: "This is more than the whole. A share is at most 100 %.",
    Wrong.OTHER: "What stands here does not fit. Put there what would be accepted.",
}


def plainly(mistake: Mistake) -> str:
    """What is wrong and what to do, in a sentence or two."""
    return _SAID[mistake.sort].format(line=mistake.line)
