"""Sharing what several consignments or runs have in common, exact to the gram, by a rule that was declared before."""

from collections.abc import Mapping
from enum import StrEnum
from fractions import Fraction
from math import floor
from typing import TypeVar

from shedgrade.domain.units import Exact

K = TypeVar("K")


class Rule(StrEnum):
    """By what the fruit of a combined run, or of a bin that several runs fill, is shared out."""

    NET = "net"
    BINS = "bins"
    PARTS = "parts"

    @property
    def words(self) -> str:
        """The rule as it completes "shared ..."."""
        return {
            Rule.NET: "by the received net weight that was tipped",
            Rule.BINS: "by the bins that were tipped",
            Rule.PARTS: "by the shares that were declared at the start",
        }[self]


def share_out(amount: int, weights: Mapping[K, Exact]) -> dict[K, int]:
    """The amount in whole parts that add up to it: each gets its exact share rounded down, and what is left goes one by
    one to the largest remainders, of equal ones to the first.

    ValueError for a negative weight, or where there is something to share and nobody to have it. Source: the method of
    largest remainders (A. Hamilton, 1792), from memory.
    """
    whole = Fraction(sum(weights.values(), Fraction(0)))
    if any(weight < 0 for weight in weights.values()) or (amount and not whole):
        raise ValueError(f"{amount} cannot be shared by {list(weights.values())}")
    if amount < 0:
        return {key: -part for key, part in share_out(-amount, weights).items()}
    exact = {key: amount * Fraction(weight) / whole if whole else Fraction(0) for key, weight in weights.items()}
    parts = {key: floor(share) for key, share in exact.items()}
    largest = sorted(exact, key=lambda key: parts[key] - exact[key])
    for key in largest[: amount - sum(parts.values())]:
        parts[key] += 1
    return parts
