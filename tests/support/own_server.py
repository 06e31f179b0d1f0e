"""The program itself in a process of its own, which a test can kill in the middle of anything and start again."""

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

HOME = Path(__file__).parents[2]
_PATIENCE_S = 60


class OwnServer:
    """``shedgrade serve`` on a database, always at the same address."""

    def __init__(self, database: str) -> None:
        self._database = database
        with socket.create_server(("127.0.0.1", 0)) as free:
            self._port = int(free.getsockname()[1])
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        """By name: to a browser the machine's own name is as good as https."""
        return f"http://localhost:{self._port}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        command = [sys.executable, "-m", "shedgrade", "serve", "--port", str(self._port), "--database", self._database]
        environment = {**os.environ, "PYTHONPATH": str(HOME)}
        self._process = subprocess.Popen(command, cwd=HOME, env=environment, stdout=subprocess.DEVNULL)
        deadline = time.monotonic() + _PATIENCE_S
        while not self._answers():
            if self._process.poll() is not None or time.monotonic() > deadline:
                raise RuntimeError("the server did not start")
            time.sleep(0.05)

    def kill(self) -> None:
        """As a power cut would: no time to finish anything."""
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()
            self._process = None

    def _answers(self) -> bool:
        try:
            socket.create_connection(("127.0.0.1", self._port), timeout=1).close()
        except OSError:
            return False
        return True
