"""What the bench is made of: every static file that its pages name, and what those files name in turn. A browser keeps
them to open the bench without the server."""

import re
from collections.abc import Iterator
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urljoin

from shedgrade import paths

PAGES = ("samples/bench.html", "unsent/page.html")

_OTHER_TEMPLATE = re.compile(r'{%-?\s*(?:extends|include|from|import)\s+"([^"]+)"')
_NAMED_IN = {
    ".html": re.compile(r'"(/static/[^"#]+)'),
    ".js": re.compile(r'\b(?:from|import)\s*\(?\s*"(\.[^"]+)"'),
    ".css": re.compile(r'url\("?([^")#]+)"?\)'),
}


class Parts(NamedTuple):
    """Their addresses, and a hash of what is in them."""

    version: str
    addresses: tuple[str, ...]


@lru_cache
def bench_parts() -> Parts:
    """Read at first use: an installed program's files do not change while it runs."""
    found: dict[str, bytes] = {}
    waiting = [address for template in _templates() for address in _NAMED_IN[".html"].findall(template)]
    while waiting:
        address = waiting.pop()
        if address not in found:
            found[address] = _file(address).read_bytes()
            waiting += _named_by(address, found[address])
    told = sha256()
    for address in sorted(found):
        told.update(address.encode() + found[address])
    return Parts(told.hexdigest(), tuple(sorted(found)))


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


def _file(address: str) -> Path:
    return paths.STATIC / address.removeprefix("/static/")


def _named_by(address: str, content: bytes) -> list[str]:
    named = _NAMED_IN.get(Path(address).suffix)
    if named is None or "/vendor/" in address:
        return []
    return [urljoin(address, each) for each in named.findall(content.decode())]
