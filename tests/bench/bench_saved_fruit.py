"""How many fruit a second the bench can save, against the barest route that stores one row, in the same run.

Run it with ``python tests/bench/bench_saved_fruit.py``. Both are served by uvicorn in a process of their own, on an
SQLite file with the same settings, and asked by the same eight client threads. The bare route reads two form fields
and inserts a row: no person, no spec, no class, no page. The ratio is what all of that costs.
"""

import itertools
import random
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[2]))

import httpx

from shedgrade.web.whoami import COOKIE
from tests.bench.served import HELD, SERVED

CLIENTS = 8
FRUIT = 2000
ROUNDS = 3
NAMES = {
    "bare": "bare route, one row",
    "plain": "saved fruit, redirect",
    "htmx": "saved fruit, tally fragment",
}


@dataclass(frozen=True)
class Round:
    """What one round gave: requests a second, and the time 99 replies in 100 stayed under."""

    per_second: float
    p99_ms: float


def fruit_form(chance: random.Random) -> Mapping[str, str]:
    """One invented mango as the bench's form sends it; four in ten with a rub."""
    form = {"weight": str(chance.randint(220, 780)), "stage": "3", "entry_key": f"{chance.getrandbits(96):x}"}
    return {**form, "mark-rub": f"{chance.randint(1, 40) / 10} cm2"} if chance.random() < 0.4 else form


def headers(way: str, address: str) -> dict[str, str]:
    """What a browser says with the form: where it comes from, who is there, and whether htmx asks."""
    said = {"origin": address, "cookie": f"{COOKIE}={HELD}"}
    return {**said, "hx-request": "true"} if way == "htmx" else said


def ask(way: str, address: str, seed: int) -> list[float]:
    """One client's share of the fruit, one after the other; the seconds each took."""
    chance, took = random.Random(seed), []
    with httpx.Client(headers=headers(way, address), timeout=60) as client:
        for _ in range(FRUIT // CLIENTS):
            form = fruit_form(chance)
            begun = time.perf_counter()
            reply = client.post(f"{address}/samples/1/fruit", data=form)
            took.append(time.perf_counter() - begun)
            assert reply.status_code == (303 if way == "plain" else 200), reply.text
    return took


def one_round(way: str) -> Round:
    """Serve a fresh database and send all the fruit."""
    with TemporaryDirectory() as folder, served(way, Path(folder) / "shed.db") as address:
        begun = time.perf_counter()
        with ThreadPoolExecutor(CLIENTS) as pool:
            times = sorted(itertools.chain(*pool.map(lambda seed: ask(way, address, seed), range(CLIENTS))))
        seconds = time.perf_counter() - begun
        stored = SERVED[way].stored(Path(folder) / "shed.db")
        assert stored == len(times), f"{stored} of {len(times)} fruit were stored"
    return Round(len(times) / seconds, 1000 * times[len(times) * 99 // 100])


@contextmanager
def served(way: str, file: Path) -> Iterator[str]:
    """The app in a process of its own on a free port; yields its address."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    program = [sys.executable, str(Path(__file__).with_name("served.py")), way, str(file), str(port)]
    with subprocess.Popen(program) as server:
        try:
            wait_for(port, server)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()


def wait_for(port: int, server: subprocess.Popen[bytes]) -> None:
    while server.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    sys.exit("the server stopped before it answered")


def main() -> None:
    """Every way in turn, several times, so that a slow minute of the machine falls on all of them."""
    rounds: dict[str, list[Round]] = {way: [] for way in NAMES}
    for _ in range(ROUNDS):
        for way, given in rounds.items():
            given.append(one_round(way))
    bare = median(each.per_second for each in rounds["bare"])
    print(f"{CLIENTS} clients, {FRUIT} fruit, median of {ROUNDS} rounds")
    for way, given in rounds.items():
        speed, p99 = median(each.per_second for each in given), median(each.p99_ms for each in given)
        print(f"{NAMES[way]:30} {speed:7.0f}/s   p99 {p99:6.1f} ms   {speed / bare:5.2f} of the bare route")


if __name__ == "__main__":
    main()
