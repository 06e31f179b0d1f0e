"""The line from the machine at a scale to the shed: pairing by a code, then weights in order, kept while it is down."""

import json
import ssl
import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass
from http import HTTPStatus
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from pathlib import Path
from secrets import token_hex
from urllib.parse import urlencode, urlsplit

MOST_KEPT = 500
"""More weights than a bench takes in an hour: beyond it the oldest is dropped, and that is said."""

_PATIENCE_S = 5
_AGAIN_AFTER_S = 2.0


class NotPairedError(Exception):
    """The shed does not know this scale; the text is the sentence."""


class RefusedError(Exception):
    """The shed refused what was sent; the text is its sentence."""


@dataclass(frozen=True, slots=True)
class Weight:
    """One weight in tenths of a gram, the how manieth of this run, and when it was read by the machine's own steady
    clock, in seconds."""

    number: int
    weight_dg: int
    at_s: float


class ShedLine:
    """The shed at an address. ``authority`` is the file of its own authority's certificate, None for none; OSError
    where it is none."""

    def __init__(self, address: str, authority: Path | None = None) -> None:
        self._at = urlsplit(address)
        self._trusted = _trusting(authority)

    def pair(self, code: str, name: str) -> str:
        """The token that the shed gives for a code that a bench shows; RefusedError, OSError."""
        answer = self._post("/scales/pairings", {"code": code, "name": name}, {})
        try:
            return str(json.loads(answer)["token"])
        except (ValueError, KeyError, TypeError) as odd:
            raise RefusedError("What answers there is no shed. Look at the address of the bench.") from odd

    def send(self, token: str, run: str, weight: Weight, now_s: float) -> None:
        """Send one weight; RefusedError, NotPairedError, OSError."""
        fields = {
            "run": run,
            "number": str(weight.number),
            "weight_dg": str(weight.weight_dg),
            "ago_ms": str(max(round((now_s - weight.at_s) * 1000), 0)),
        }
        self._post("/scales/readings", fields, {"Authorization": f"Bearer {token}"})

    def _post(self, path: str, fields: Mapping[str, str], headers: Mapping[str, str]) -> bytes:
        form = {"content-type": "application/x-www-form-urlencoded", **headers}
        try:
            with closing(self._connection()) as line:
                line.request("POST", f"{self._at.path.rstrip('/')}{path}", urlencode(fields), form)
                answer = line.getresponse()
                content = answer.read()
        except HTTPException as odd:
            raise OSError(f"it answers oddly, {odd!r}") from odd
        if answer.status >= HTTPStatus.MULTIPLE_CHOICES:
            raise _in_words(answer.status, content)
        return content

    def _connection(self) -> HTTPConnection:
        host = self._at.hostname or ""
        if self._at.scheme == "https":
            return HTTPSConnection(host, self._at.port, timeout=_PATIENCE_S, context=self._trusted)
        return HTTPConnection(host, self._at.port, timeout=_PATIENCE_S)


def _trusting(authority: Path | None) -> ssl.SSLContext:
    """The file is taken as the shed hands it out, and as text."""
    if authority is None:
        return ssl.create_default_context()
    held, trusted = authority.read_bytes(), ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    try:
        trusted.load_verify_locations(cadata=held.decode("ascii") if held.startswith(b"-----") else held)
    except (ssl.SSLError, ValueError) as odd:
        raise OSError(
            f"{authority} is no certificate; the file shed-authority.crt that the shed hands out at /authority is "
            "accepted."
        ) from odd
    return trusted


def _in_words(status: int, content: bytes) -> Exception:
    if status >= HTTPStatus.INTERNAL_SERVER_ERROR:
        return OSError(f"the shed answered {status}")
    if status in {HTTPStatus.NOT_FOUND, HTTPStatus.UNAUTHORIZED, HTTPStatus.FORBIDDEN}:
        return NotPairedError("The shed does not know this scale any more. Ask the bench for a code and start again.")
    try:
        return RefusedError(str(json.loads(content)["sentence"]))
    except (ValueError, KeyError, TypeError):
        return RefusedError(f"The shed refused it ({status}).")


class Outbox:
    """Weights on their way, the oldest first. While the shed is out of reach they are kept here; each goes with how
    long ago it was read, so that the shed offers a late one to a person and never puts it in by itself."""

    def __init__(
        self,
        line: ShedLine,
        token: str,
        say: Callable[[str], None],
        clock: Callable[[], float] = time.monotonic,
        again_after_s: float = _AGAIN_AFTER_S,
    ) -> None:
        self._line, self._token, self._say, self._clock = line, token, say, clock
        self._again_after_s = again_after_s
        self._run = token_hex(8)
        self._number = 0
        self._kept: deque[Weight] = deque()
        self._changed = threading.Condition()
        self._is_down = False
        self.ended: NotPairedError | None = None
        """Why nothing is sent any more."""

    def put(self, weight_dg: int, at_s: float) -> None:
        """Take a weight to be sent."""
        with self._changed:
            self._number += 1
            self._kept.append(Weight(self._number, weight_dg, at_s))
            if len(self._kept) > MOST_KEPT:
                lost = self._kept.popleft()
                self._say(f"The shed was out of reach too long: the weight {_grams(lost)} was dropped.")
            self._changed.notify()

    def run(self, stopped: threading.Event) -> None:
        """Send until stopped, or until the shed ends the pairing."""
        while not stopped.is_set() and self.ended is None:
            weight = self._next()
            if weight is not None and not self._sent(weight):
                stopped.wait(self._again_after_s)

    def _next(self) -> Weight | None:
        with self._changed:
            if not self._kept:
                self._changed.wait(0.2)
            return self._kept[0] if self._kept else None

    def _sent(self, weight: Weight) -> bool:
        try:
            self._line.send(self._token, self._run, weight, self._clock())
        except NotPairedError as ended:
            self.ended = ended
            return False
        except RefusedError as refused:
            self._say(f"{_grams(weight)} was not taken: {refused}")
        except OSError as mistake:
            if not self._is_down:
                self._say(f"The shed is out of reach ({mistake}). Weights are kept until it is back.")
            self._is_down = True
            return False
        else:
            self._say(f"{_grams(weight)} sent.")
        if self._is_down:
            self._say("The shed is back.")
        self._is_down = False
        with self._changed:
            if self._kept and self._kept[0] is weight:
                self._kept.popleft()
        return True


def _grams(weight: Weight) -> str:
    return f"{weight.weight_dg // 10}.{weight.weight_dg % 10} g"
