"""What came of the fruit saved last on a tablet. Its page says so, unless the tablet locks at that moment: then it is
said to anybody, by the page that asks who is there."""

from datetime import timedelta
from urllib.parse import quote, unquote

from fastapi import Request
from starlette.responses import Response

from shedgrade.web import cookies

_COOKIE = "saved"
_LONG_ENOUGH = timedelta(minutes=1)  # a tablet that locks later than that has shown it before


def say_at_the_door(request: Request, answer: Response, sentence: str) -> None:
    """Let the browser of a tablet hold the sentence."""
    if getattr(request.state, "lock_after", None) is not None:
        cookies.keep(request, answer, _COOKIE, quote(sentence), _LONG_ENOUGH)


def last_saved(request: Request) -> str:
    """The sentence; "" where nothing was saved just now."""
    return unquote(request.cookies.get(_COOKIE, ""))
