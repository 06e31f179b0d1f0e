"""Who is told whom: a grower knows the shed's people only as the shed."""

import pytest

from shedgrade.domain.people import Doer, Person, Role

GROWER = Person(1, "Gil", frozenset({Role.GROWER}), 7)
GRADER = Person(2, "Greta", frozenset({Role.GRADER}))
GRADER_WHO_GROWS = Person(3, "Both", frozenset({Role.GRADER, Role.GROWER}), 7)


@pytest.mark.parametrize(
    ("doer", "reader", "told"),
    [
        (Doer("Greta"), GRADER, "Greta"),
        (Doer("Gil", 7), GRADER, "Gil"),
        (Doer("Greta"), GROWER, "the shed"),
        (Doer("Gil", 7), GROWER, "Gil"),
        (Doer("Gus", 7), GROWER, "Gus"),
        (Doer("Nell", 8), GROWER, "the shed"),
        (Doer("Greta"), GRADER_WHO_GROWS, "Greta"),
    ],
)
def test_a_name_is_told_to_the_shed_and_to_its_own(doer: Doer, reader: Person, told: str) -> None:
    assert doer.told_to(reader) == told


def test_a_doer_written_into_a_text_names_nobody() -> None:
    assert f"by {Doer('Greta')}" == "by the shed"


def test_a_grower_for_nobody_knows_nobody() -> None:
    assert Doer("Greta").told_to(Person(4, "Odd", frozenset({Role.GROWER}))) == "the shed"
