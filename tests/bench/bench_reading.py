"""How long a spec file takes to be read and checked, as a ratio to the bare TOML reader on the same text.

Run it with ``python tests/bench/bench_reading.py``.
"""

import sys
import time
import tomllib
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from shedgrade.domain.spec import library  # noqa: E402 - found by the path above
from shedgrade.domain.spec.text import SpecMistakes, read_spec, write_spec  # noqa: E402
from tests.support.whole_spec import QUELL, QUELL_SPEC  # noqa: E402

ROUNDS = 31
MOST_MS = 10.0


def ms_of(work: Callable[[], object]) -> float:
    """The median of many rounds, in milliseconds of the processor: what else runs meanwhile does not count."""
    times = []
    for _ in range(ROUNDS):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return median(times) * 1000


def read_with_mistakes(text: str) -> None:
    """A file with a mistake in every limit: then the lines of all keys are looked up too."""
    try:
        read_spec(text.replace('take = "', 'take = "x'), library.crops() | {QUELL.id: QUELL})
    except SpecMistakes:
        return
    raise AssertionError("no mistake was found")


def main() -> int:
    """Print a line for each of the largest files and the whole language; 1 when one is too slow."""
    crops = library.crops() | {QUELL.id: QUELL}
    texts = {spec.id: write_spec(spec) for spec in library.standards().values()}
    texts = dict(sorted(texts.items(), key=lambda item: -len(item[1]))[:3]) | {"every concept": QUELL_SPEC}
    slowest = 0.0
    for name, text in texts.items():
        bare = ms_of(partial(tomllib.loads, text))
        whole = ms_of(partial(read_spec, text, crops))
        wrong = ms_of(partial(read_with_mistakes, text))
        slowest = max(slowest, whole)
        print(
            f"{name}: {len(text.splitlines())} lines, read and checked {whole:.2f} ms, "
            f"{whole / bare:.2f} x tomllib ({bare:.2f} ms); full of mistakes {wrong / bare:.2f} x"
        )
    return int(slowest > MOST_MS)


if __name__ == "__main__":
    sys.exit(main())
