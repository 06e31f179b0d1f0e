"""Static files are kept by a browser for good, and an upgrade still shows at once."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from shedgrade import paths
from shedgrade.storage.database import Database
from shedgrade.web.static_files import static_address, static_version
from tests.support.visitor import Visitor


@pytest.fixture
def stranger(sqlite_database: Database) -> Visitor:
    return Visitor(sqlite_database, None)


@pytest.fixture
def other_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Static files of a program still to be upgraded."""
    monkeypatch.setattr(paths, "STATIC", tmp_path)
    (tmp_path / "one.js").write_text("1")
    static_version.cache_clear()
    yield tmp_path
    static_version.cache_clear()


def test_a_file_of_now_is_kept_for_good(stranger: Visitor) -> None:
    answer = stranger.get(f"{static_address()}/css/app.css")
    assert "immutable" in answer.headers["cache-control"]
    etag = answer.headers["etag"]
    unchanged = stranger.client.get(f"{static_address()}/css/app.css", headers={"if-none-match": etag})
    assert (unchanged.status_code, unchanged.headers["cache-control"]) == (304, answer.headers["cache-control"])


def test_a_page_from_before_an_upgrade_gets_the_files_of_now_and_keeps_none(stranger: Visitor) -> None:
    answer = stranger.get("/static/0123456789ab/css/app.css")
    assert answer.content == (paths.STATIC / "css" / "app.css").read_bytes()
    assert answer.headers["cache-control"] == "no-cache"


@pytest.mark.parametrize("name", ["css/none.css", "%2e%2e/pyproject.toml", "css"])
def test_what_is_not_there_is_not_kept(stranger: Visitor, name: str) -> None:
    answer = stranger.get(f"{static_address()}/{name}")
    assert (answer.status_code, answer.headers["cache-control"]) == (404, "no-store")


@pytest.mark.parametrize("change", ["content", "name", "one more"])
def test_the_address_changes_with_any_file(other_files: Path, change: str) -> None:
    before = static_version()
    one = other_files / "one.js"
    match change:
        case "content":
            one.write_text("2")
        case "name":
            one.rename(other_files / "two.js")
        case _:
            (other_files / "two.js").write_text("")
    static_version.cache_clear()
    assert static_version() != before
