"""Where somebody is, as the navigation says it."""

import pytest

from shedgrade.domain.people import Person, Role
from shedgrade.web.pages import nav_for
from shedgrade.web.routes import ROUTERS

MANAGER = Person(1, "Nela Brandt", frozenset({Role.MANAGER}))
GROWER = Person(2, "Ivo Karst", frozenset({Role.GROWER}), grower_id=3)


@pytest.mark.parametrize(
    ("path", "place"),
    [
        ("/consignments", "Consignments"),
        ("/consignments/4/packout", "Consignments"),
        ("/consignments/4/breaks", "Consignments"),
        ("/samples/7", "Consignments"),
        ("/fruit/9", "Consignments"),
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


@pytest.mark.parametrize("path", ["/blocks/3", "/consignments/4", "/consignments/4/receipt", "/samples/7", "/fruit/9"])
def test_a_grower_is_at_the_own_blocks(path: str) -> None:
    assert [word for _, word, here in nav_for(GROWER, path) if here] == ["My blocks"]


def test_a_grower_finds_the_specs_their_fruit_is_judged_under() -> None:
    assert [(href, word) for href, word, _ in nav_for(GROWER, "/")] == [("/blocks", "My blocks"), ("/specs", "Specs")]
    assert [word for _, word, here in nav_for(GROWER, "/specs/4") if here] == ["Specs"]


# Pages that stand apart, what tablets fetch by themselves, and the way to the shed's own authority.
_BY_ITSELF = {"/bench-parts", "/fruit-entries", "/service-worker.js"}
APART = {"/", "/me", "/sign-in", "/set-up", "/authority", "/authority.crt"} | _BY_ITSELF


def test_a_page_is_in_a_place_unless_it_stands_apart() -> None:
    paths = {route.path for router in ROUTERS for route in router.routes if "GET" in route.methods}  # type: ignore[attr-defined]
    nowhere = {path for path in paths if not any(here for _, _, here in nav_for(MANAGER, path))}
    assert nowhere == APART


def test_nobody_has_no_navigation() -> None:
    assert nav_for(None, "/sign-in") == []
