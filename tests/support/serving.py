"""The app behind a real port, for a browser to visit."""

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn
from starlette.types import ASGIApp

from shedgrade.web.server import TlsServer
from shedgrade.web.tls import Tls

_PATIENCE_S = 10


@contextmanager
def serve(app: ASGIApp) -> Iterator[str]:
    """Serve the app from a thread on a free port; yield its address, and stop it afterwards."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        server = uvicorn.Server(uvicorn.Config(app, log_level="warning", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        try:
            _wait_until_started(server, thread)
            yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        finally:
            server.should_exit = True
            thread.join(_PATIENCE_S)


@contextmanager
def serve_tls(app: ASGIApp, tls: Tls, looks_every_s: float = 0.1) -> Iterator[tuple[str, str]]:
    """Serve the app by https from a thread; yield its address and that of its plain port, and stop it afterwards."""
    config = uvicorn.Config(app, host="127.0.0.1", port=tls.port, log_level="warning", ws="none")
    server = TlsServer(app, config, "", tls, looks_every_s)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        _wait_until_started(server, thread)
        while not is_open(tls.plain_port):
            time.sleep(0.01)
        yield f"https://localhost:{tls.port}", f"http://localhost:{tls.plain_port}"
    finally:
        server.should_exit = True
        thread.join(_PATIENCE_S)


def free_port() -> int:
    """A port that nobody listens at."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        return int(found.getsockname()[1])


def is_open(port: int) -> bool:
    """Whether somebody listens there."""
    with socket.socket() as tried:
        return tried.connect_ex(("127.0.0.1", port)) == 0


def _wait_until_started(server: uvicorn.Server, thread: threading.Thread) -> None:
    deadline = time.monotonic() + _PATIENCE_S
    while not server.started:
        if not thread.is_alive() or time.monotonic() > deadline:
            raise RuntimeError("the app did not start")
        time.sleep(0.01)
