"""Beside https, over plain http: the way to the authority's certificate, and to nothing else.

Nobody signs in here and nothing of the shed is told. Strict-Transport-Security is never sent, here or by https: a shed
that goes back to plain http would be locked out of its own tablets, and a name in its own network is not worth that.
"""

from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

_OPEN = ("/authority", "/authority.crt")


class PlainDoor:
    """Lets only those pages of an app be read, and sends everybody else to the first."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass it on, or say where to go."""
        answer: ASGIApp = RedirectResponse(_OPEN[0], 303)
        if scope["type"] != "http":
            return
        if scope["method"] not in {"GET", "HEAD"}:
            answer = PlainTextResponse("Nothing is taken in here: open this shed by https.", 405)
        elif scope["path"] in _OPEN or scope["path"].startswith("/static/"):
            answer = self.app
        await answer(scope, receive, send)
