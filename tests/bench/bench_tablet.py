"""How long a tablet takes to read and judge one fruit by itself, and how large the rules are that it holds for it.

Run it with ``python tests/bench/bench_tablet.py``. A real browser, slowed to a quarter of its speed as a shed tablet
is, reads typed fruit and judges them, each asked for by itself from outside. The baseline is the same asking for
nothing. The first fruit after the modules were loaded is told apart: its script was not made quick yet.
"""

import gzip
import sys
import time
from json import dumps
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[2]))

from playwright.sync_api import Page, sync_playwright

from shedgrade.domain.fruit_entry import FruitMistakes, FruitReader, Typed
from shedgrade.domain.grading.tablet.rules import rules_for_tablet
from shedgrade.domain.spec.model import Spec
from tests.support.chromium import ARGUMENTS, NONE_FOUND, find_chromium
from tests.support.every_spec import SPECS
from tests.support.many_fruit import TRAY, Maker
from tests.support.modules import modules_served
from tests.support.tablet import typed_json
from tests.support.typed_texts import TypedMaker

SLOWER = 4
FRUIT = 40
READY = """async ([rules, typed]) => {
    const { readTyped } = await import("/static/js/grading/read-typed.js");
    const { judge } = await import("/static/js/grading/judge.js");
    const held = JSON.parse(rules);
    window.verdictOf = (number) => judge(held, readTyped(held, typed[number]).fruit);
}"""
NOTHING = "() => null"
ONE = "(number) => verdictOf(number).words.line"


def seconds_of(page: Page, asked: str, number: int = 0) -> float:
    """One question from outside until its answer is here."""
    begun = time.perf_counter()
    page.evaluate(asked, number)
    return time.perf_counter() - begun


def fruit_of(spec: Spec, reader: FruitReader) -> list[Typed]:
    """So many typed fruit that can be read."""
    maker, found = TypedMaker(spec, seed=1), list[Typed]()
    while len(found) < FRUIT:
        typed = maker.typed()
        try:
            reader.read(typed)
        except FruitMistakes:
            continue
        found.append(typed)
    return found


def measure(page: Page, address: str, spec: Spec) -> list[float]:
    """Bytes of the rules, bytes packed; milliseconds of nothing, of a fruit, of the first fruit."""
    load = Maker(spec, seed=1).load()
    typed = fruit_of(spec, FruitReader.at_the_bench(spec, load))
    rules = dumps(rules_for_tablet(spec, "0" * 64, load, TRAY), separators=(",", ":"))
    page.goto(address)
    page.evaluate(READY, [rules, [typed_json(each) for each in typed]])
    seconds_of(page, NOTHING)
    first = seconds_of(page, ONE)
    pairs = [(seconds_of(page, NOTHING), seconds_of(page, ONE, number)) for number in range(1, FRUIT)]
    times = median(bare for bare, _ in pairs), median(judged for _, judged in pairs), first
    return [len(rules), len(gzip.compress(rules.encode())), *(1000 * each for each in times)]


def main() -> None:
    """Every built-in spec in turn, for a load of which things are said."""
    chromium = find_chromium() or sys.exit(NONE_FOUND)
    print(f"{'rules of':28} {'bytes':>6} {'packed':>6} {'nothing':>9} {'one fruit':>9} {'the first':>9}   milliseconds")
    with sync_playwright() as driver, modules_served() as address:
        browser = driver.chromium.launch(executable_path=str(chromium), args=ARGUMENTS)
        page = browser.new_page()
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        found = {spec_id: measure(page, address, spec) for spec_id, spec in SPECS.items()}
        browser.close()
    for spec_id, (raw, packed, nothing, one, first) in found.items():
        print(f"{spec_id:28} {raw:6.0f} {packed:6.0f} {nothing:9.1f} {one:9.1f} {first:9.1f}")
    columns = list(zip(*found.values(), strict=True))
    print(f"largest: {max(columns[0]):.0f} bytes, {max(columns[1]):.0f} packed; first fruit {max(columns[4]):.1f} ms")
    print(f"one fruit costs {median(columns[3]) / median(columns[2]):.1f} times what asking for nothing does")


if __name__ == "__main__":
    main()
