"""What a look at a run costs with ten trays and with ten thousand, against summing their entries up at every look.

Run it with ``python tests/bench/bench_run_board.py``. Each of the trays is an entry of its own, one in twenty was
weighed. A look reads the run with its consignment of thirty bins, and works out what its trays weigh, the pace, the
samples due, the note to the next shift and the mass balance.
"""

import sys
import time
from collections.abc import Callable
from datetime import UTC, timedelta
from functools import partial
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[2]))

import sqlalchemy
from sqlmodel import Session

from shedgrade.actions.runs import StartFacts, record, start
from shedgrade.domain.people import Person, Role
from shedgrade.domain.run import events as say
from shedgrade.domain.run.balance import balance
from shedgrade.domain.run.due import SampleRules
from shedgrade.domain.run.handover import hand_over
from shedgrade.domain.run.packed import packed
from shedgrade.domain.run.tally import Tally, Weights
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import upgrade
from shedgrade.storage.run_rows import columns_of
from shedgrade.storage.runs import run_for
from shedgrade.storage.tables import RunEvent, RunTally
from tests.support import season
from tests.support.runs import SIX, at

FEW, MANY = 10, 10_000
COUNTS = (14, 16, 18, 20)
FIRST_NUMBER = 100
WEIGHED_ONE_IN = 20
ROUNDS = 41
MOST_TIMES = 1.5


def shed(session: Session) -> tuple[Person, StartFacts]:
    """A consignment of thirty bins, and what a run of it starts with."""
    tray, spec = season.tray_type(session), season.spec_version(session)
    market = season.market(session, spec, [tray])
    block = season.block(session, season.grower(session))
    load = season.consignment(session, block, market, bins_net_g=[400_000] * 30)
    person = Person(season.shed_person(session, "Ada Thorne", Role.SUPERVISOR), "", frozenset({Role.SUPERVISOR}))
    breaks = tuple(say.Break(tray, count, 70_000 // count) for count in COUNTS)
    return person, StartFacts(say.Kind.PACKING, ((load, 0),), spec, (tray,), breaks)


def run_with(session: Session, person: Person, facts: StartFacts, trays: int) -> int:
    """A run with some entries of each kind, recorded, and so many trays, written as their entries and sums are."""
    run_id = start(session, facts, person, SIX).id or 0
    happened: list[say.Event] = [
        *[say.BinsTipped(at(minute), facts.loads[0][0], 1) for minute in range(15)],
        say.SampleTaken(at(20), 10, 4_300),
        *[say.LooseWeighed(at(30), say.Place(say.Way.OUTLET, "processing"), 90_000) for _ in range(5)],
    ]
    for event in happened:
        record(session, run_for(session, person, run_id, lock=True), event, person.id)
    add_trays(session, run_id, person.id, facts.tray_ids[0], trays)
    return run_id


def add_trays(session: Session, run_id: int, person_id: int, tray_id: int, trays: int) -> None:
    """Trays of four counts in turn, each an entry; the sums kept of them are those that their entries come to."""
    tallies: dict[int, Tally] = {count: Tally() for count in COUNTS}
    number = FIRST_NUMBER
    for each in range(trays):
        count = COUNTS[each % len(COUNTS)]
        cell = say.Cell(1, "I", tray_id, (count,))
        happened: list[say.Event] = [say.TraysPacked(SIX + timedelta(seconds=each), cell)]
        tallies[count] = tallies[count].plus(Tally(1))
        if each // len(COUNTS) % WEIGHED_ONE_IN == 0:
            happened.append(say.TrayWeighed(SIX + timedelta(seconds=each), cell, 7_600 + each % 7, 550))
            tallies[count] = tallies[count].plus(Tally(0, Weights.of(7_050 + each % 7, 7_000)))
        for event in happened:
            number += 1
            session.add(RunEvent(run_id=run_id, number=number, at=SIX, by_id=person_id, **columns_of(event)))
    for count, tally in tallies.items():
        row = RunTally(run_id=run_id, stretch=1, class_id="I", tray_type_id=tray_id, counts=str(count))
        row.trays, row.weighed, row.short = tally.trays, tally.weights.n, tally.weights.short
        row.total_g, row.squares_g2 = tally.weights.total_g, tally.weights.squares_g2
        session.add(row)
    session.flush()


def look(database: Database, person: Person, run_id: int) -> None:
    """All that the board shows, and the balance."""
    with database.reading() as session:
        state = run_for(session, person, run_id).state
        packed(state)
        hand_over(state, SampleRules(), at(60), UTC, {})
        balance(state)


def summed_up(database: Database, run_id: int) -> None:
    """The trays by count from their entries, as a look would have to if no sums were kept."""
    with database.reading() as session:
        query = sqlalchemy.text(
            "SELECT class_id, counts, SUM(trays), COUNT(gross_g), SUM(gross_g - tare_g) FROM run_event"
            " WHERE run_id = :run_id AND counts IS NOT NULL GROUP BY class_id, counts"
        )
        session.execute(query, {"run_id": run_id}).all()


def in_turn(*works: Callable[[], object]) -> list[float]:
    """The median of many rounds of each, in milliseconds of the processor: what else runs meanwhile does not count,
    and what slows the machine down for a while slows all of them."""
    times: list[list[float]] = [[] for _ in works]
    for _ in range(ROUNDS):
        for work, mine in zip(works, times, strict=True):
            begun = time.process_time()
            work()
            mine.append(time.process_time() - begun)
    return [median(mine) * 1000 for mine in times]


def main() -> int:
    """Print both; 1 when the longer run costs more than ``MOST_TIMES`` the shorter."""
    with TemporaryDirectory() as folder:
        database = Database(str(Path(folder) / "shed.db"))
        upgrade(database)
        with database.writing() as session:
            person, facts = shed(session)
            runs = [run_with(session, person, facts, trays) for trays in (FEW, MANY)]
            session.commit()
        looks = in_turn(*(partial(look, database, person, run_id) for run_id in runs))
        sums = in_turn(*(partial(summed_up, database, run_id) for run_id in runs))
        database.close()
    for trays, whole, alone in zip((FEW, MANY), looks, sums, strict=True):
        print(f"{trays:6} trays: a look {whole:6.2f} ms; summing up their entries alone {alone:6.2f} ms")
    times = looks[1] / looks[0]
    print(f"with {MANY} trays {times:.2f} times as long; summing up {sums[1] / sums[0]:.1f} times")
    return int(times > MOST_TIMES)


if __name__ == "__main__":
    sys.exit(main())
