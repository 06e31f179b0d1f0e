"""What differs between two specs, figure by figure."""

from dataclasses import dataclass

from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.values import values_of


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: its place in words, and what stands there before and after; "" where there is nothing."""

    place: str
    before: str
    after: str


def compare(before: Spec, after: Spec) -> tuple[Change, ...]:
    """Every difference, in file order."""
    sides = [{value.place: value for value in values_of(spec)} for spec in (before, after)]
    titles = [("title", before.title, after.title), ("edition", before.edition, after.edition)]
    found = [Change(*each) for each in titles if each[1] != each[2]]
    for place in dict.fromkeys([*sides[0], *sides[1]]):
        one, other = (side.get(place) for side in sides)
        said = [value.to.says() if value is not None else "" for value in (one, other)]
        if said[0] != said[1]:
            found.append(Change((one or other or values_of(after)[0]).words, said[0], said[1]))
    return tuple(found)
