"""Every route of the app, found by walking its routers: the app's own list is not flat."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from fastapi.routing import APIRoute

from shedgrade.web.routes import ROUTERS


class Route(NamedTuple):
    """One thing the app answers to, in the table's own words."""

    method: str
    path: str

    def __str__(self) -> str:
        return f"{self.method} {self.path}"


def api_routes() -> Iterator[APIRoute]:
    """The routes as FastAPI keeps them."""
    for router in ROUTERS:
        yield from _within(router.routes)


def every_route() -> list[Route]:
    """Method and path of each."""
    return [Route(method, route.path) for route in api_routes() for method in sorted(route.methods or ())]


def filled(template: str, ids: Mapping[str, Any]) -> str:
    """The address with ids in place of the names in braces."""
    return template.format_map(ids)


def _within(routes: Iterable[Any]) -> Iterator[APIRoute]:
    for route in routes:
        if isinstance(route, APIRoute):
            yield route
        else:
            yield from _within(getattr(route, "routes", ()))
