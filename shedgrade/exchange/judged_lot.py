"""A file judged as one lot."""

from dataclasses import dataclass

from shedgrade.domain.grading.facts import Load
from shedgrade.domain.grading.lot_verdict import LotVerdict
from shedgrade.domain.grading.lot_words import Names
from shedgrade.domain.spec.model import Spec


@dataclass(frozen=True, slots=True)
class JudgedLot:
    """The verdict on a file's fruit as one lot, what the file calls its packages and fruit, what was said of the
    load."""

    spec: Spec
    verdict: LotVerdict
    names: Names
    load: Load
