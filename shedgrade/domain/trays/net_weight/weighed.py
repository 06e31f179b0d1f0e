"""Trays on a scale: gross less tare is net, less what will dry off before somebody else weighs them."""

from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.units import BP, THIN, Exact, digits, say_percent


@dataclass(frozen=True, slots=True)
class WeighedTray:
    """A full tray, and the empty one with all that is packed with the fruit, in grams."""

    gross_g: Exact
    tare_g: Exact

    def __post_init__(self) -> None:
        """Refuse what no tray weighs; ValueError."""
        if self.tare_g < 0:
            raise ValueError("an empty tray weighs 0 g or more")
        if self.gross_g <= self.tare_g:
            raise ValueError("the full tray weighs no more than the empty one: check which is which")

    @property
    def net_g(self) -> Fraction:
        """Grams of fruit."""
        return Fraction(self.gross_g) - self.tare_g


@dataclass(frozen=True, slots=True)
class Drying:
    """What is taken off each tray because fruit lose water until they are weighed again: a share of the net in parts
    per ten thousand, or grams. Nothing unless it is set: no figure for these fruit was read anywhere."""

    share_bp: int = 0
    tray_g: int = 0

    def __post_init__(self) -> None:
        """Refuse an allowance that cannot be, or two at once; ValueError."""
        if not 0 <= self.share_bp < BP or self.tray_g < 0:
            raise ValueError("a drying allowance is 0 or more, and less than all of the fruit")
        if self.share_bp and self.tray_g:
            raise ValueError("a drying allowance is a share or grams: give one of them")

    def left_of(self, net_g: Exact) -> Fraction:
        """Grams that are counted on of a net weight."""
        return Fraction(net_g) * (BP - self.share_bp) / BP - self.tray_g

    def says(self) -> str:
        """What is taken off, in a sentence; empty if nothing is."""
        if not self.share_bp and not self.tray_g:
            return ""
        much = (
            f"{digits(self.tray_g)}{THIN}g" if self.tray_g else say_percent(Fraction(self.share_bp, BP), 2, trim=True)
        )
        return f"{much} of each tray is taken off for drying."


NO_DRYING = Drying()


def nets_of(trays: list[WeighedTray], drying: Drying = NO_DRYING) -> tuple[Fraction, ...]:
    """What each tray is taken to hold, in grams, in the order they were weighed."""
    return tuple(drying.left_of(tray.net_g) for tray in trays)
