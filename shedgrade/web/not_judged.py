"""How many fruit nobody judged on something, said where the figure that rests on them stands."""

from collections.abc import Sequence

from shedgrade.domain.units import digits

_MOST_NAMED = 4
_SO = "Such fruit may make a lower class than shown."


def not_judged(fruit: int, limits: Sequence[tuple[str, int]], n_fruit: int) -> str:
    """The sentence; "" where every fruit was judged on everything. ``limits`` come with their fruit, the most first."""
    if not fruit:
        return ""
    return f"{_who(fruit, n_fruit)} judged on {_what(fruit, limits)}. {_SO}"


def _who(fruit: int, n_fruit: int) -> str:
    if fruit == n_fruit:
        return f"None of the {digits(n_fruit)} fruit was"
    return f"{digits(fruit)} of the {digits(n_fruit)} fruit {'was' if fruit == 1 else 'were'} not"


def _what(fruit: int, limits: Sequence[tuple[str, int]]) -> str:
    """The limits by name; each with its fruit where these are not always the same ones."""
    if all(count == fruit for _, count in limits):
        *most, last = _few([name for name, _ in limits])
        return f"{', '.join(most)} or {last}" if most else last
    return f"everything: {', '.join(_few([f'{name} ({digits(count)})' for name, count in limits]))}"


def _few(names: list[str]) -> list[str]:
    left = len(names) - _MOST_NAMED
    return [*names[:_MOST_NAMED], f"{left} more limits"] if left > 1 else names
