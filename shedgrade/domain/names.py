"""Names that people take for the same: "dunmarrin" and "Dunmarrin" are one grower."""

from collections.abc import Iterable


def plain_name(name: str) -> str:
    """The name without what nobody hears: capitals, and more than one space in a row."""
    return " ".join(name.split()).casefold()


def name_among(name: str, names: Iterable[str]) -> str | None:
    """The first of the names that people take for the same as this one, None if there is none."""
    return next((other for other in names if plain_name(other) == plain_name(name)), None)
