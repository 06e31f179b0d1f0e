"""How long one fruit takes: ``grade`` against an if-chain for one spec written by hand, in the same run.

Run it with ``python tests/bench/bench_grading.py``. The if-chain gives the class and nothing else: no reasons, no
size codes, no marks. The ratio is what reading the rules as data and saying why costs.
"""

import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from shedgrade.domain.grading.one import Defect, Fruit, grade
from shedgrade.domain.spec.library import standards
from shedgrade.domain.trays.counts import TrayType

FRUIT = 20_000
ROUNDS = 5
TRAY = TrayType("7-kg", "7 kg tray", 7000, (9, 10, 12, 14, 16, 18, 20, 22, 25))
CODEX = standards()["mango-codex-cxs184"]
AREA_KINDS = ("sap-stain", "rub", "sunburn", "hail-mark")
NIL_KINDS = ("rot", "unhealed-wound", "marked-bruise", "cold-damage", "black-stain", "pest-damage")


def some_fruit(number: int, seed: int = 1) -> list[Fruit]:
    """Invented mangoes: about half clean, the others with one to three marks, one in fifty rotten."""
    chance = random.Random(seed)
    fruit = []
    for _ in range(number):
        marks = [
            Defect(chance.choice(AREA_KINDS), chance.randint(10, 700)) for _ in range(chance.choice((0, 0, 0, 1, 2, 3)))
        ]
        if chance.random() < 1 / 50:
            marks.append(Defect("rot"))
        fruit.append(Fruit(chance.randint(1900, 8100), chance.randint(1, 6), tuple(marks)))
    return fruit


def hand_written(fruit: Fruit) -> tuple[str | None, int | None]:
    """Codex CXS 184 for these kinds of defect as an if-chain, with the count of the 7 kg tray."""
    weight = (fruit.weight_dg + 5) // 10
    if weight < 200 or weight > 800:
        return None, None
    area = 0
    for defect in fruit.defects:
        if defect.kind in NIL_KINDS:
            return None, None
        area += defect.area_mm2 or 0
    if area == 0:
        class_id = "Extra"
    elif area <= (300 if weight <= 350 else 400 if weight <= 550 else 500):
        class_id = "I"
    elif area <= (500 if weight <= 350 else 600 if weight <= 550 else 700):
        class_id = "II"
    else:
        return None, None
    for count in TRAY.counts:
        if fruit.weight_dg * count >= 70_000:
            return class_id, count
    return class_id, None


def microseconds(judge: Callable[[Fruit], object], fruit: list[Fruit]) -> float:
    """The best of the rounds, in microseconds a fruit."""
    best = float("inf")
    for _ in range(ROUNDS):
        start = time.perf_counter()
        for one in fruit:
            judge(one)
        best = min(best, time.perf_counter() - start)
    return best / len(fruit) * 1e6


def main() -> None:
    """Check that both give the same answers, then time both."""
    fruit = some_fruit(FRUIT)
    for one in fruit:
        verdict = grade(CODEX, one, TRAY)
        answer = (verdict.class_id, verdict.count.count if verdict.count else None)
        if answer != hand_written(one):
            raise SystemExit(f"the two disagree on {one}: {answer} against {hand_written(one)}")
    ours = microseconds(lambda one: grade(CODEX, one, TRAY), fruit)
    baseline = microseconds(hand_written, fruit)
    print(f"grade, {CODEX.id}, {FRUIT} fruit: {ours:.1f} µs a fruit")
    print(f"hand-written if-chain, class and count only: {baseline:.2f} µs a fruit")
    print(f"ratio: {ours / baseline:.0f}")


if __name__ == "__main__":
    main()
