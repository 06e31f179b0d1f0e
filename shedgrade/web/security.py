"""What every request meets first: where it may come from, how much it may bring, what the browser may do with us."""

from http import HTTPStatus

from fastapi import HTTPException
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from shedgrade.domain.units import digits
from shedgrade.settings import MIB

_READS = frozenset({"GET", "HEAD", "OPTIONS"})
# A sender over the limit is heard out up to here, so that the browser shows our answer and not a broken line.
_HEARD_OUT = 64 * MIB

HEADERS = {
    "content-security-policy": "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "worker-src 'self'; manifest-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'",
    "x-content-type-options": "nosniff",
    # Not no-referrer: that turns the Origin of a plain form into "null", which the check below would refuse.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
# What is part of a page goes by the page's own policy, and a bench is made of some ninety of them on poor wi-fi.
_PARTS = (".js", ".css", ".woff2")
_OF_PARTS = {"x-content-type-options": HEADERS["x-content-type-options"]}


class SecurityHeaders:
    """Adds the headers that tell a browser to keep to our own scripts, styles and pages."""

    def __init__(self, app: ASGIApp) -> None:
        """Wrap an app."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on and dress its answer."""

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                # Where no file stands, what is answered is a page like any other.
                is_file = scope["path"].startswith("/static/") and message["status"] < HTTPStatus.BAD_REQUEST
                for name, value in (_OF_PARTS if is_file and scope["path"].endswith(_PARTS) else HEADERS).items():
                    headers.setdefault(name, value)
                if not is_file:
                    headers.add_vary_header("HX-Request")
                headers.setdefault("cache-control", "no-store")  # records are never kept
            await send(message)

        await self.app(scope, receive, dressed if scope["type"] == "http" else send)


class SameOriginOnly:
    """Refuses a change asked for by somebody else's page.

    The browser says where a request came from by ``Sec-Fetch-Site``; on plain http in the shed's own network it does
    not, and ``Origin`` is compared instead. A sender with neither is no browser: let in unless it brings a cookie.
    """

    def __init__(self, app: ASGIApp) -> None:
        """Wrap an app."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer 403."""
        if scope["type"] == "http" and scope["method"] not in _READS and not _is_ours(scope):
            refusal = PlainTextResponse("This form came from another site. Open it here and send it again.", 403)
            await refusal(scope, receive, send)
            return
        await self.app(scope, receive, send)


def _is_ours(scope: Scope) -> bool:
    headers = Headers(scope=scope)
    if site := headers.get("sec-fetch-site"):
        return site == "same-origin"
    if origin := headers.get("origin"):
        return origin == f"{scope['scheme']}://{headers.get('host')}"
    return "cookie" not in headers


class BodyLimit:
    """Refuses a body over the limit, in a sentence, without keeping it."""

    def __init__(self, app: ASGIApp, limit: int) -> None:
        """Wrap an app; ``limit`` is in bytes."""
        self.app = app
        self.limit = limit

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on with its body counted."""
        seen = 0

        async def counted() -> Message:
            nonlocal seen
            message = await receive()
            seen += len(message.get("body", b""))
            if seen <= self.limit:
                return message
            while message.get("more_body") and seen < _HEARD_OUT:
                message = await receive()
                seen += len(message.get("body", b""))
            most = digits(self.limit // MIB)
            raise HTTPException(413, f"That is over {most} MB, the most that fits. Send a smaller file.")

        await self.app(scope, counted if scope["type"] == "http" else receive, send)
