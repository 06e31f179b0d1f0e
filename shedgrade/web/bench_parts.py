"""What the bench is made of: every static file that its pages name, and what those files name in turn. A browser keeps
them to open the bench without the server."""

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import PurePosixPath
from urllib.parse import urljoin

from shedgrade import paths
from shedgrade.web.static_files import static_address

PAGES = ("samples/bench.html", "unsent/page.html")

_OTHER_TEMPLATE = re.compile(r'{%-?\s*(?:extends|include|from|import)\s+"([^"]+)"')
_NAMED_IN_A_PAGE = re.compile(r'"\{\{ static \}\}/([^"#]+)')
_NAMED_IN = {
    ".js": re.compile(r'\b(?:from|import)\s*\(?\s*"(\.[^"]+)"'),
    ".css": re.compile(r'url\("?([^")#]+)"?\)'),
}


@lru_cache
def bench_parts() -> tuple[str, ...]:
    """Their addresses."""
    return _with_named(name for text in _templates() for name in _NAMED_IN_A_PAGE.findall(text))


@lru_cache
def modules_of(name: str) -> tuple[str, ...]:
    """The addresses of a script, named from the static files on, and of all that it imports: a browser that is told
    them at once need not find one after the other."""
    return _with_named([name])


def _with_named(names: Iterable[str]) -> tuple[str, ...]:
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += _named_by(name)
    return tuple(f"{static_address()}/{name}" for name in sorted(found))


def _templates() -> Iterator[str]:
    """The text of the pages, and of whatever they are put together from."""
    seen: set[str] = set()
    waiting = list(PAGES)
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            text = (paths.TEMPLATES / name).read_text(encoding="utf-8")
            waiting += _OTHER_TEMPLATE.findall(text)
            yield text


def _named_by(name: str) -> list[str]:
    named = _NAMED_IN.get(PurePosixPath(name).suffix)
    if named is None or name.startswith("vendor/"):
        return []
    return [urljoin(name, each) for each in named.findall((paths.STATIC / name).read_text(encoding="utf-8"))]
