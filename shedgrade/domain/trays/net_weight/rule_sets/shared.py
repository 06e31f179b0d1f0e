"""What several sets share: the table of T, the share for the error of weighing, and notes on what was not read."""

from dataclasses import replace
from fractions import Fraction

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.trays.net_weight.rules import Band, CountRule, Step, WeighingShare

PERCENT = Fraction(1, 100)
TENTH = Fraction(1, 10)
TO_15_KG = (
    Band(50, share=9 * PERCENT),
    Band(100, grams=Fraction(9, 2)),
    Band(200, share=Fraction(9, 2) * PERCENT),
    Band(300, grams=Fraction(9)),
    Band(500, share=3 * PERCENT),
    Band(1_000, grams=Fraction(15)),
    Band(10_000, share=Fraction(3, 2) * PERCENT),
    Band(15_000, grams=Fraction(150)),
)
"""T up to labels of 15 kg: the same figures in every text read. At an end both bands give the same."""
UP_TO_TENTHS = (Step(None, TENTH),)

DIRECTIVE = Source(
    "EU, Directive 76/211/EEC",
    "1976",
    "Annex I, 1",
    Mark.READ,
    address="http://legislation.gov.uk/eudr/1976/211/annexes/data.html",
)
NORTHERN_IRELAND = Source(
    "Northern Ireland, SR 2011/331",
    "2011",
    "Schedule 2, 1.3",
    Mark.READ,
    address="http://www.legislation.gov.uk/nisr/2011/331/schedule/2/made?view=plain",
)


def from_memory(source: Source, note: str, section: str = "") -> Source:
    """The same text, where what is given of it was not read in it."""
    return replace(source, section=section, mark=Mark.FROM_MEMORY, note=note, address="")


def noted(source: Source, note: str, mark: Mark | None = None) -> Source:
    """The same place with a note of its own, and with another mark where one is given."""
    return replace(source, note=note, mark=mark or source.mark)


def count_not_read(source: Source) -> CountRule:
    """No rule for packs labelled by count."""
    return CountRule(
        None, None, from_memory(source, "its rule for packs labelled by count was not read: none is given")
    )


FIFTH_ELSEWHERE = WeighingShare(
    Fraction(1, 5),
    noted(NORTHERN_IRELAND, "taken from that text: nothing on it was read in the text of this set", Mark.INFERRED),
)
FORM_NOTE = "the text names mean error, s and factor; how it puts them together is from memory, as in OIML R 87"
