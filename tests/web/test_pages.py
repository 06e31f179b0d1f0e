"""Where somebody is, as the navigation says it."""

import pytest

from shedgrade.domain.people import Person, Role
from shedgrade.web.pages import nav_for

MANAGER = Person(1, "Nela Brandt", frozenset({Role.MANAGER}))
GROWER = Person(2, "Ivo Karst", frozenset({Role.GROWER}), grower_id=3)


@pytest.mark.parametrize(
    ("path", "place"),
    [
        ("/consignments", "Consignments"),
        ("/consignments/4/packout", "Consignments"),
        ("/samples/7", "Consignments"),
        ("/fruit/9/voiding", "Consignments"),
        ("/dockets/new", "Consignments"),
        ("/bins/12", "Consignments"),
        ("/blocks/3", "Growers"),
        ("/trays", "Markets"),
        ("/devices", "People"),
        ("/people/2", "People"),
        ("/specs/5/file", "Specs"),
    ],
)
def test_every_page_of_the_shed_has_its_place(path: str, place: str) -> None:
    assert [word for _, word, here in nav_for(MANAGER, path) if here] == [place]


def test_a_grower_is_at_the_own_blocks() -> None:
    assert [word for _, word, here in nav_for(GROWER, "/blocks/3") if here] == ["My blocks"]


def test_the_first_page_and_the_own_page_are_no_place() -> None:
    assert not any(here for path in ("/", "/me") for _, _, here in nav_for(MANAGER, path))


def test_nobody_has_no_navigation() -> None:
    assert nav_for(None, "/sign-in") == []
