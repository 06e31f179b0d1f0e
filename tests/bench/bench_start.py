"""How long the program takes to start: its help against a bare Python, and the demo until its first page answers.

Run it with ``python tests/bench/bench_start.py``.
"""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

import httpx

ROUNDS = 7
DEMO_ROUNDS = 3
PATIENCE_S = 120


def shedgrade() -> str:
    """The command as it was installed beside this Python."""
    found = shutil.which("shedgrade", path=str(Path(sys.executable).parent))
    return found or sys.exit("shedgrade is not installed beside this Python")


def seconds_of(program: Sequence[str]) -> float:
    """One start to end of a program that says nothing here."""
    begun = time.perf_counter()
    subprocess.run(program, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - begun


def seconds_until_demo_answers() -> float:
    """From the command to the first page, with data in a folder of its own: a fresh season is laid out."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    with TemporaryDirectory() as folder:
        begun = time.perf_counter()
        surroundings = {**os.environ, "XDG_DATA_HOME": folder}
        with subprocess.Popen(
            [shedgrade(), "demo", "--port", str(port)],
            env=surroundings,
            stdout=subprocess.DEVNULL,
        ) as demo:
            try:
                wait_for_page(f"http://127.0.0.1:{port}/", demo)
                return time.perf_counter() - begun
            finally:
                demo.send_signal(signal.SIGINT)


def wait_for_page(address: str, demo: subprocess.Popen[bytes]) -> None:
    """Until the address answers a page; exits if the program has stopped or takes too long."""
    until = time.monotonic() + PATIENCE_S
    while demo.poll() is None and time.monotonic() < until:
        try:
            httpx.get(address, follow_redirects=True).raise_for_status()
        except httpx.TransportError:
            time.sleep(0.05)
        else:
            return
    sys.exit("the demo did not answer")


def main() -> None:
    """Take the median of several starts, bare Python and help in turn."""
    bare, shown = [], []
    for _ in range(ROUNDS):
        bare.append(seconds_of([sys.executable, "-c", "pass"]))
        shown.append(seconds_of([shedgrade(), "--help"]))
    print(f"python -c pass     {median(bare):6.3f} s")
    print(f"shedgrade --help   {median(shown):6.3f} s   {median(shown) / median(bare):.1f} times as long")
    print(f"demo answers       {median(seconds_until_demo_answers() for _ in range(DEMO_ROUNDS)):6.2f} s")


if __name__ == "__main__":
    main()
