"""Whether a sample can tell two shares apart: by how their difference changes from bin to bin."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import TypeVar

from shedgrade.domain.sampling.estimate import Draw, ratio
from shedgrade.domain.units import Exact

Piece = TypeVar("Piece")
Test = Callable[[Piece], bool]
Weight = Callable[[Piece], Exact]


def one_each(_piece: object) -> int:
    """The weight that counts fruit by number."""
    return 1


def told_apart(
    draws: Sequence[Sequence[Piece]],
    first: Test[Piece],
    second: Test[Piece],
    weight: Weight[Piece] = one_each,
    confidence: float = 0.95,
) -> bool:
    """Whether the shares of the fruit of two tests differ by more than the bins differ among themselves.

    Both shares come from the same fruit, so their own ranges may overlap while the difference is sure. One bin
    tells nothing apart. The difference d lies between -1 and 1; (d + 1) / 2 is a share, and a share's range is used.
    """
    halves = [
        Draw(
            sum((Fraction(weight(piece) * (1 + first(piece) - second(piece)), 2) for piece in draw), Fraction(0)),
            sum(weight(piece) for piece in draw),
            len(draw),
        )
        for draw in draws
    ]
    half = ratio(halves, confidence, share=True)
    equal = Fraction(1, 2)
    return half.low is not None and half.high is not None and not half.low <= equal <= half.high
