"""The best breaks of 20 counts over 1,000 g from 100,000 weights, as a ratio to going over the full grid.

Run it with ``python tests/bench/bench_breaks.py``. The full grid asks of every pair of edges whether the rule holds, in
the order in which the answer changes least often. Both must find breaks that bring the same.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from shedgrade.domain.trays.best_breaks import best_breaks  # noqa: E402 - found by the path above
from shedgrade.domain.trays.breaks import Packing  # noqa: E402
from shedgrade.domain.trays.counts import TrayType  # noqa: E402
from shedgrade.domain.trays.fill_rule import average_quantity  # noqa: E402
from shedgrade.domain.trays.spread import Spread  # noqa: E402
from tests.support.full_grid import most_over_all_pairs, worth_of  # noqa: E402

FRUIT = 100_000
ROUNDS = 15
MOST_MS = 50.0
COUNTS = (7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 20, 22, 24, 26, 28, 30, 33, 36)

Result = TypeVar("Result")


def some_weights() -> NDArray[np.int64]:
    """Fruit of all weights from 10 g to 1,010 g, most near 500 g."""
    weights = np.rint(np.random.default_rng(1).normal(5100, 1500, FRUIT * 2)).astype(np.int64)
    return weights[(weights >= 100) & (weights < 10_100)][:FRUIT]


def timed(work: Callable[[], Result]) -> tuple[Result, float]:
    """What it gives, and milliseconds of the processor: what else runs meanwhile does not count."""
    begun = time.process_time()
    given = work()
    return given, (time.process_time() - begun) * 1000


def main() -> None:
    """Time both, and say whether the quick one is as good and quick enough."""
    weights = some_weights()
    packing = Packing.of(TrayType("seven", "7 kg", 7000, COUNTS), average_quantity(105))
    spread = Spread.of(weights, packing.sizer)
    best_breaks(weights, packing)  # loads what is loaded once
    found, quick = min((timed(lambda: best_breaks(weights, packing)) for _ in range(ROUNDS)), key=lambda pair: pair[1])
    best, slow = timed(lambda: most_over_all_pairs(spread, packing))
    brought = worth_of(spread, packing, found.edges_dg, found.top_dg)
    print(f"{FRUIT:,} weights, {len(COUNTS)} counts, {spread.edges:,} edges 1 g apart; best of {ROUNDS} rounds")
    print(f"best breaks: {quick:.0f} ms, full grid: {slow:.0f} ms, {slow / quick:.0f} times as long")
    if abs(brought - best) > 1e-9 * best:
        raise SystemExit(f"the full grid finds {best}, the search {brought}")
    if quick > MOST_MS:
        raise SystemExit(f"more than {MOST_MS:.0f} ms")


if __name__ == "__main__":
    main()
