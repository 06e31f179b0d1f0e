"""The program itself in a process of its own, which a test can kill in the middle of anything and start again."""

import multiprocessing
import os
import socket
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

_PATIENCE_S = 60

# Each server is forked from a process that has read the program already: that is what takes longest of a start.
_READY = multiprocessing.get_context("forkserver")
_READY.set_forkserver_preload(["shedgrade.cli", "shedgrade.storage.migrate", "shedgrade.web.serving"])


def _serve(port: int, database: str) -> None:
    """The command ``shedgrade serve``, which says nothing."""
    from shedgrade.cli import app  # noqa: PLC0415 - in the new process

    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    app(["serve", "--port", str(port), "--database", database])


class OwnServer:
    """``shedgrade serve`` on a database, always at the same address."""

    def __init__(self, database: str) -> None:
        self._database = database
        with socket.create_server(("127.0.0.1", 0)) as free:
            self._port = int(free.getsockname()[1])
        self._process: BaseProcess | None = None

    @property
    def address(self) -> str:
        """By name: to a browser the machine's own name is as good as https."""
        return f"http://localhost:{self._port}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self._process = _READY.Process(target=_serve, args=(self._port, self._database), daemon=True)
        self._process.start()
        deadline = time.monotonic() + _PATIENCE_S
        while not self._answers():
            if not self._process.is_alive() or time.monotonic() > deadline:
                raise RuntimeError("the server did not start")
            time.sleep(0.05)

    def kill(self) -> None:
        """As a power cut would: no time to finish anything."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
            self._process = None

    def _answers(self) -> bool:
        try:
            socket.create_connection(("127.0.0.1", self._port), timeout=1).close()
        except OSError:
            return False
        return True
