"""What people call the browser they sit at. The sentences are as these browsers say them of themselves."""

import pytest

from shedgrade.web.browsers import browser_words

WEBKIT = "AppleWebKit/537.36 (KHTML, like Gecko)"


@pytest.mark.parametrize(
    ("says", "words"),
    [
        ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Linux"),
        (f"Mozilla/5.0 (Linux; Android 14; Tab) {WEBKIT} Chrome/140.0 Safari/537.36", "Chrome on Android"),
        (f"Mozilla/5.0 (Windows NT 10.0) {WEBKIT} Chrome/140.0 Safari/537.36 Edg/140.0", "Edge on Windows"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Version/18.0 Safari/604.1", "Safari on iPhone"),
        (f"Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) {WEBKIT} Chrome/140.0 Safari/537.36", "Chrome on Mac"),
        ("curl/8.0", "a browser"),
        ("", "a browser"),
        ("<script>alert(1)</script>", "a browser"),
    ],
)
def test_a_browser_in_words(says: str, words: str) -> None:
    assert browser_words(says) == words
