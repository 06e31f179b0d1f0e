"""The program's own script modules in a real browser, without a page of the app around them."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from json import dumps, loads
from typing import Any

from playwright.sync_api import Page
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from shedgrade.paths import STATIC
from shedgrade.web.security import HEADERS
from tests.support.serving import serve

_EMPTY = "<!doctype html><html lang='en'><head><title>Modules</title></head><body></body></html>"
_ASK = """async ([module, name, given]) => {
    const asked = (await import(module))[name];
    return JSON.stringify(JSON.parse(given).flatMap(([rules, every]) => every.map((one) => asked(rules, one))));
}"""


@contextmanager
def modules_served() -> Iterator[str]:
    """An empty page at the address given, with the static files beside it, under the app's content policy."""
    app = Starlette(routes=[Route("/", _empty), Mount("/static", StaticFiles(directory=STATIC))])
    with serve(app) as address:
        yield address


def _empty(_request: Request) -> HTMLResponse:
    return HTMLResponse(_EMPTY, headers=HEADERS)


def ask(page: Page, module: str, name: str, given: Sequence[tuple[Any, Sequence[Any]]]) -> list[Any]:
    """What a module's function answers about each of the things given with their rules: all in one call, in their
    order; JSON goes in and out."""
    return list(loads(page.evaluate(_ASK, [f"/static/js/{module}", name, dumps(given)])))
