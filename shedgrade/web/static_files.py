"""Static files, under an address that changes with any of them: a browser keeps them for good, and asks for the new
ones at once after an upgrade."""

from functools import lru_cache
from hashlib import sha256
from os import PathLike, stat_result

from fastapi.staticfiles import StaticFiles
from starlette.responses import Response
from starlette.types import Scope

from shedgrade import paths

TOP = "/static"
_FOR_GOOD = "public, max-age=31536000, immutable"


@lru_cache
def static_version() -> str:
    """A hash of every static file's name and content. Read once: an installed program's files do not change while it
    runs, and who changes one starts the program anew."""
    told = sha256()
    for file in sorted(each for each in paths.STATIC.rglob("*") if each.is_file()):
        told.update(f"{file.relative_to(paths.STATIC)} {sha256(file.read_bytes()).hexdigest()}\n".encode())
    return told.hexdigest()[:12]


def static_address() -> str:
    """What the address of every static file begins with."""
    return f"{TOP}/{static_version()}"


class KeptFiles(StaticFiles):
    """The static files, mounted below a ``version``. Under an older one, as a page from before an upgrade asks, the
    file of now is given, and not to be kept."""

    def file_response(
        self, full_path: str | PathLike[str], stat_result: stat_result, scope: Scope, status_code: int = 200
    ) -> Response:
        """The file, or that it has not changed."""
        answer = super().file_response(full_path, stat_result, scope, status_code)
        is_current = scope["path_params"]["version"] == static_version()
        answer.headers["cache-control"] = _FOR_GOOD if is_current else "no-cache"
        return answer
