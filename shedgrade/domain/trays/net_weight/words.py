"""What is said beside every check: what it is good for, where its rules come from, and what of them is from memory."""

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.names import listed
from shedgrade.domain.trays.net_weight.label import LabelledBy
from shedgrade.domain.trays.net_weight.rules import RuleSet

# The scope of OIML R 87, read in the Gulf states' adoption of it (GSO OIML R 87:2021).
NOTE = (
    "These plans are what inspectors check a lot by; for a packer's own control they are not made, as OIML R 87 says "
    "of its own. What counts is the law where the trays are sold."
)


def say_rules(rules: RuleSet) -> tuple[str, ...]:
    """Where each part of a set comes from and how well it is known, one line a part."""
    return tuple(
        f"{name[0].upper()}{name[1:]}: {source.says()}{f'; {source.note}' if source.note else ''}."
        for name, source in rules.parts
    )


def t_sources(rules: RuleSet, by: LabelledBy) -> tuple[tuple[str, Source], ...]:
    """Where T of such a label comes from."""
    if by is LabelledBy.COUNT:
        return (("T", rules.counts.source),)
    return ("T", rules.deficiency.source), ("its rounding", rules.rounding.source)


def say_from_memory(*sources: tuple[str, Source]) -> str:
    """Which of these parts are from memory, as a sentence with a space before it; empty if none is."""
    names = tuple(dict.fromkeys(name for name, source in sources if source.mark is Mark.FROM_MEMORY))
    if not names:
        return ""
    said = listed(names)
    return f" {said[0].upper()}{said[1:]} {'is' if len(names) == 1 else 'are'} from memory: confirm against the text."
