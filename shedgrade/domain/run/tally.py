"""Trays counted and check-weighed, as sums: ten trays or ten thousand take the same room and the same time."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Weights:
    """Check-weights of trays as sums over their nets in grams; ``short`` of them were under the label."""

    n: int = 0
    total_g: int = 0
    squares_g2: int = 0
    short: int = 0

    @classmethod
    def of(cls, net_g: int, label_g: int) -> "Weights":
        """One tray."""
        return cls(1, net_g, net_g * net_g, int(net_g < label_g))

    def plus(self, other: "Weights", sign: int = 1) -> "Weights":
        """Both together; ``sign`` -1 takes the other out again."""
        return Weights(
            self.n + sign * other.n,
            self.total_g + sign * other.total_g,
            self.squares_g2 + sign * other.squares_g2,
            self.short + sign * other.short,
        )


@dataclass(frozen=True, slots=True)
class Tally:
    """Trays of one cell, and the check-weights of some of them."""

    trays: int = 0
    weights: Weights = Weights()

    def plus(self, other: "Tally", sign: int = 1) -> "Tally":
        """Both together; ``sign`` -1 takes the other out again."""
        return Tally(self.trays + sign * other.trays, self.weights.plus(other.weights, sign))
