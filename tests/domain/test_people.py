"""Who is told whom, what is said of somebody who leaves, and who may come back to a tablet by a tap."""

import pytest

from shedgrade.domain.people import Doer, Person, Role, leaving_words, left_words, tap_is_enough, ways_in

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


@pytest.mark.parametrize(
    ("password", "pin", "ways"),
    [(True, True, "password and PIN"), (True, False, "password"), (False, True, "PIN"), (False, False, "")],
)
def test_the_ways_in(*, password: bool, pin: bool, ways: str) -> None:
    assert ways_in(password=password, pin=pin) == ways


@pytest.mark.parametrize(
    ("ways", "leaving", "left"),
    [
        ("password and PIN", "their password and PIN open nothing", "their password and PIN open the records"),
        ("password", "their password opens nothing", "their password opens the records"),
        ("PIN", "their PIN opens nothing", "their PIN opens the records"),
        ("", "could not sign in anyway", "neither a password nor a PIN"),
    ],
)
def test_only_what_somebody_has_is_spoken_of(ways: str, leaving: str, left: str) -> None:
    assert leaving in leaving_words(ways)
    assert left in left_words(ways)


def test_a_tap_is_enough_for_the_bench_and_the_dock_alone() -> None:
    assert {role for role in Role if tap_is_enough([role])} == {Role.GRADER, Role.SUPERVISOR}
    assert tap_is_enough([Role.GRADER, Role.SUPERVISOR])
    assert not tap_is_enough([Role.GRADER, Role.MARKETER])
    assert not tap_is_enough([])
