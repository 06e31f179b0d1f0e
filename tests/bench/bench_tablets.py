"""Fifty tablets that find the server again at the same moment, against the barest route that stores one row.

Run it with ``python tests/bench/bench_tablets.py``. Each tablet is a client thread of its own. It sends what it kept,
one fruit at a time, as while the link is there, or twenty at once, as after it was gone; the bare route is asked by as
many threads in the same run, a row each time. No answer may be an error, and every fruit has to be stored.
"""

import itertools
import json
import random
import re
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

import httpx

from tests.bench.bench_saved_fruit import fruit_form, headers, served
from tests.bench.served import SERVED

TABLETS = 50
FRUIT_OF_EACH = 20
ROUNDS = 3
WAYS = {"bare": ("bare", 1), "one at a time": ("kept", 1), "twenty at once": ("kept", 20)}


@dataclass(frozen=True)
class Round:
    """What one round gave: fruit a second, and the time that 99 answers in 100 stayed under."""

    per_second: float
    p99_ms: float


def kept_fruit(chance: random.Random, mark: str) -> dict[str, Any]:
    """One invented mango as a tablet keeps it."""
    fields = dict(fruit_form(chance))
    key = f"{chance.getrandbits(128):032x}"
    who = {"key": key, "sample": 1, "mark": mark, "person": 1, "name": "Bench one", "at": "2026-01-12T05:00:00Z"}
    return {**who, "fields": [[name, value] for name, value in fields.items() if name != "entry_key"]}


def tablet(way: str, batch: int, address: str, mark: str, seed: int) -> list[float]:
    """One tablet's fruit, batch by batch; the seconds each answer took."""
    chance, took = random.Random(seed), []
    with httpx.Client(headers=headers(way, address), timeout=120) as client:
        for _ in range(FRUIT_OF_EACH // batch):
            if way == "bare":
                form = {"weight": str(chance.randint(220, 780)), "entry_key": f"{chance.getrandbits(128):x}"}
                path = "/samples/1/fruit"
            else:
                form = {"entries": json.dumps([kept_fruit(chance, mark) for _ in range(batch)])}
                path = "/fruit-entries"
            begun = time.perf_counter()
            reply = client.post(f"{address}{path}", data=form)
            took.append(time.perf_counter() - begun)
            assert reply.status_code == 200, reply.text
            assert way == "bare" or {each["answer"] for each in reply.json()["answers"]} == {"stored"}, reply.text
    return took


def one_round(way: str, batch: int) -> Round:
    """Serve a fresh database and send everything from all tablets at once."""
    with TemporaryDirectory() as folder, served(way, Path(folder) / "shed.db") as address:
        mark = "" if way == "bare" else mark_of(address)
        begun = time.perf_counter()
        with ThreadPoolExecutor(TABLETS) as pool:
            parts = pool.map(lambda seed: tablet(way, batch, address, mark, seed), range(TABLETS))
            times = sorted(itertools.chain(*parts))
        seconds = time.perf_counter() - begun
        stored = SERVED[way].stored(Path(folder) / "shed.db")
        assert stored == TABLETS * FRUIT_OF_EACH, f"{stored} fruit were stored"
    return Round(stored / seconds, 1000 * times[len(times) * 99 // 100])


def mark_of(address: str) -> str:
    """What tells the sample from another of its id, as its page says it."""
    page = httpx.get(f"{address}/samples/1", headers=headers("kept", address), timeout=60).text
    found = re.search(r'data-mark="([^"]+)"', page)
    assert found, page
    return found[1]


def main() -> None:
    """Every way in turn, several times, so that a slow minute of the machine falls on all of them."""
    rounds: dict[str, list[Round]] = {name: [] for name in WAYS}
    for _ in range(ROUNDS):
        for name, given in rounds.items():
            given.append(one_round(*WAYS[name]))
    bare = median(each.p99_ms for each in rounds["bare"])
    print(f"{TABLETS} tablets, {FRUIT_OF_EACH} fruit each, median of {ROUNDS} rounds, no error")
    for name, given in rounds.items():
        speed, p99 = median(each.per_second for each in given), median(each.p99_ms for each in given)
        print(f"{name:16} {speed:7.0f} fruit/s   p99 {p99:7.1f} ms   {p99 / bare:5.2f} of the bare route's")


if __name__ == "__main__":
    main()
