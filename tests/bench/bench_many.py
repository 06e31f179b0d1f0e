"""How long a million fruit take in arrays: against the same rules written by hand in polars, and fruit by fruit.

Run it with ``python tests/bench/bench_many.py``. Codex CXS 184 for mango on the 7 kg tray, six kinds of defect. The
rules in polars are written for this one spec; they give class, size, count, outlet, every broken limit of every class
missed and what could not be judged, as ours do, and are checked to give the same before anything is timed. Both begin
at their own columns: polars at a column a kind, ours at the marks of each kind. Machines are seldom quiet, so the three
take turns and the best round of each counts.
"""

import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
import polars as pl
from numpy.typing import NDArray

from shedgrade.domain.grading.many.columns import NOT_TAKEN, Columns, Marks
from shedgrade.domain.grading.many.graded import Graded
from shedgrade.domain.grading.many.grading import grade_many
from shedgrade.domain.grading.one import grade
from shedgrade.domain.spec.library import standards
from shedgrade.domain.trays.counts import TrayType

FRUIT = 1_000_000
ONE_BY_ONE = 10_000
ROUNDS = 9
TRAY = TrayType("7-kg", "7 kg tray", 7000, (9, 10, 12, 14, 16, 18, 20, 22, 25))
CODEX = standards()["mango-codex-cxs184"]
AREAS = ("sap-stain", "rub", "sunburn")
SEEN = -1  # in a column of areas: there, not measured
NIL = "rot"
# Class by class the limits asked of fruit with these kinds, in the order of the spec.
LIMITS = ("rot", "stalk", "size", "skin-marks", "lenticels-and-yellowing")
MOST_MM2 = {"I": (300, 400, 500), "II": (500, 600, 700)}


def some_fruit(number: int, seed: int = 1) -> pl.DataFrame:
    """Invented mangoes: each kind of mark on about one in seven, some of them not measured, one in fifty rotten."""
    chance = np.random.default_rng(seed)

    def marked(share: float, most: int) -> NDArray[np.int64]:
        return np.where(chance.random(number) < share, chance.integers(1, most, number), 0)

    def unmeasured(figures: NDArray[np.int64]) -> NDArray[np.int64]:
        return np.where((figures > 0) & (chance.random(number) < 1 / 50), SEEN, figures)

    return pl.DataFrame(
        {
            "weight_dg": chance.integers(1900, 8100, number),
            **{kind: unmeasured(marked(1 / 7, 700)) for kind in AREAS},
            "lenticels": marked(1 / 7, 6000),
            "stalk": marked(1 / 7, 130),
            "rot": chance.random(number) < 1 / 50,
        }
    )


def columns_from(frame: pl.DataFrame) -> Columns:
    """The same fruit as our columns."""
    here = {name: frame[name].to_numpy() for name in frame.columns}
    marks = {}
    for kind in AREAS:
        rows = np.flatnonzero(here[kind])
        marks[kind] = Marks(rows, area_mm2=here[kind][rows])
    rows = np.flatnonzero(here["lenticels"])
    marks["lenticels"] = Marks(rows, share_bp=here["lenticels"][rows])
    rows = np.flatnonzero(here["stalk"])
    marks["stalk"] = Marks(rows, length_dmm=here["stalk"][rows])
    marks["rot"] = Marks(np.flatnonzero(here["rot"]))
    return Columns(here["weight_dg"], np.full(len(frame), NOT_TAKEN), marks)


def in_polars(frame: pl.DataFrame) -> pl.DataFrame:
    """Codex CXS 184 for these kinds of defect."""
    grams = (pl.col("weight_dg") + 5) // 10
    code = (
        pl.when(grams.is_between(200, 350))
        .then(pl.lit("A"))
        .when(grams.is_between(351, 550))
        .then(pl.lit("B"))
        .when(grams.is_between(551, 800))
        .then(pl.lit("C"))
    )
    area = pl.sum_horizontal(*(pl.col(kind).clip(0) for kind in AREAS))
    gap = pl.any_horizontal(*(pl.col(kind) == SEEN for kind in AREAS))
    count: pl.Expr = pl.lit(-1)
    for fruit in reversed(TRAY.counts):
        count = pl.when(pl.col("weight_dg") * fruit >= 70_000).then(fruit).otherwise(count)
    known = frame.lazy().with_columns(code=code, area=area, gap=gap, count=count)
    most = {class_id: _by_code(of) for class_id, of in MOST_MM2.items()}
    over = {class_id: (pl.col("area") > of) | (pl.col("gap") & (pl.col("area") == of)) for class_id, of in most.items()}
    skin = {"Extra": (pl.col("area") > 0) | pl.col("gap")} | {
        key: each.fill_null(value=False) for key, each in over.items()
    }
    broken = known.with_columns(
        **{f"{class_id} rot": pl.col("rot") for class_id in skin},
        **{f"{class_id} stalk": pl.col("stalk") > 100 for class_id in skin},
        **{f"{class_id} size": pl.col("code").is_null() for class_id in skin},
        **{f"{class_id} skin-marks": each for class_id, each in skin.items()},
        **{
            f"{class_id} lenticels-and-yellowing": pl.col("lenticels") > of
            for class_id, of in (("Extra", 0), ("I", 4000), ("II", 4000))
        },
    ).with_columns(**{class_id: pl.any_horizontal(*(f"{class_id} {limit}" for limit in LIMITS)) for class_id in skin})
    placed = broken.with_columns(
        place=pl.when(~pl.col("Extra")).then(0).when(~pl.col("I")).then(1).when(~pl.col("II")).then(2).otherwise(3)
    )
    in_all = {limit: pl.all_horizontal(*(f"{class_id} {limit}" for class_id in skin)) for limit in LIMITS}
    return placed.select(
        "place",
        "code",
        count=pl.when(pl.col("place") == 3).then(0).otherwise(pl.col("count")),
        outlet=pl.when(pl.col("place") < 3)
        .then(pl.when(pl.col("count") < 0).then(1).otherwise(-1))
        .otherwise(pl.when(in_all["rot"]).then(0).otherwise(2)),
        unsure=pl.col("gap") & (pl.col("place").is_between(1, 2)) & pl.col("code").is_not_null(),
        **{
            f"{class_id} {limit}": pl.col(f"{class_id} {limit}") & (pl.col("place") > place)
            for place, class_id in enumerate(skin)
            for limit in LIMITS
        },
    ).collect()


def _by_code(most: tuple[int, int, int]) -> pl.Expr:
    a, b, c = most
    return (
        pl.when(pl.col("code") == "A").then(a).when(pl.col("code") == "B").then(b).when(pl.col("code") == "C").then(c)
    )


def class_in_polars(frame: pl.DataFrame) -> pl.DataFrame:
    """The same rules for class, size and count alone."""
    return in_polars(frame).select("place", "code", "count")


def differences(ours: Graded, theirs: pl.DataFrame) -> list[str]:
    """The columns in which the two disagree."""
    limits = [limit.id for limit in CODEX.limits]
    codes = np.array([*ours.codes, None], dtype=object)
    pairs = {
        "place": (ours.place, theirs["place"].to_numpy()),
        "code": (codes[ours.judged_as], theirs["code"].to_numpy()),
        "count": (ours.count, theirs["count"].to_numpy()),
        "outlet": (ours.outlet, theirs["outlet"].to_numpy()),
        "unsure": (ours.unsure.any(axis=0), theirs["unsure"].to_numpy()),
    }
    for number, each in enumerate(CODEX.classes):
        for limit in LIMITS:
            broken = ours.broken[number, limits.index(limit)]
            pairs[f"{each.id} {limit}"] = broken, theirs[f"{each.id} {limit}"].to_numpy()
    return [name for name, (one, other) in pairs.items() if not np.array_equal(one, other)]


def seconds(work: Callable[[], object]) -> float:
    """How long it takes once."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    """Check that both give the same answers, then time them by turns."""
    frame = some_fruit(FRUIT)
    columns = columns_from(frame)
    found = differences(grade_many(CODEX, columns, TRAY), in_polars(frame))
    if found:
        raise SystemExit(f"the two disagree on {', '.join(found)}")
    chance = random.Random(1)
    some = [columns.fruit(chance.randrange(FRUIT)) for _ in range(ONE_BY_ONE)]
    works: dict[str, tuple[Callable[[], object], int]] = {
        "polars": (lambda: in_polars(frame), FRUIT),
        "arrays": (lambda: grade_many(CODEX, columns, TRAY), FRUIT),
        "arrays, made from a column a kind": (lambda: grade_many(CODEX, columns_from(frame), TRAY), FRUIT),
        "one by one": (lambda: [grade(CODEX, each, TRAY) for each in some], ONE_BY_ONE),
    }
    best = dict.fromkeys(works, float("inf"))
    for _ in range(ROUNDS):
        for name, (work, fruit) in works.items():
            best[name] = min(best[name], seconds(work) * FRUIT / fruit)
    print(
        f"{CODEX.id}, {FRUIT:,} fruit, best of {ROUNDS} rounds by turns; baseline: the rules in polars {pl.__version__}"
    )
    for name, taken in best.items():
        print(f"{name}: {taken * 1000:.0f} ms, {taken / best['polars']:.2f} x polars")
    print(f"one by one ({ONE_BY_ONE:,} of them, scaled) over arrays: {best['one by one'] / best['arrays']:.0f}")


if __name__ == "__main__":
    main()
