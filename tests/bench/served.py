"""The apps the bench of saved fruit asks, each on an SQLite file of its own: ``served.py WAY FILE PORT``."""

import sqlite3
import sys
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

sys.path.insert(0, str(Path(__file__).parents[2]))

import uvicorn
from fastapi import FastAPI, Form
from sqlalchemy import Column, Integer, MetaData, String, Table, create_engine, event

from shedgrade.domain.people import Role
from shedgrade.settings import Settings
from shedgrade.storage import database as store
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import upgrade
from shedgrade.storage.sign_ins import hashed
from shedgrade.storage.tables import SignIn
from shedgrade.web.app import create_app
from tests.support import season

HELD = "token-of-the-bench"  # what the browser holds


@dataclass(frozen=True)
class Way:
    """An app on a file, and where its fruit are kept."""

    app: Callable[[Path], FastAPI]
    table: str

    def stored(self, file: Path) -> int:
        """How many fruit the file holds."""
        with closing(sqlite3.connect(file)) as connection:
            return int(connection.execute(f"SELECT count(*) FROM {self.table}").fetchone()[0])


def bare(file: Path) -> FastAPI:
    """One route that stores one row by one prepared connection, and nothing else."""
    engine = create_engine(f"sqlite:///{file}", pool_size=1, max_overflow=0, connect_args={"check_same_thread": False})
    event.listen(engine, "connect", store._prepare)
    event.listen(engine, "begin", store._beginning("BEGIN IMMEDIATE"))
    weights = Table(
        "bare_fruit",
        MetaData(),
        Column("id", Integer, primary_key=True),
        Column("weight", Integer, nullable=False),
        Column("entry_key", String, unique=True, nullable=False),
    )
    weights.metadata.create_all(engine)
    app = FastAPI()

    @app.post("/samples/1/fruit")
    def save(weight: Annotated[int, Form()], entry_key: Annotated[str, Form()]) -> dict[str, bool]:
        with engine.begin() as connection:
            connection.execute(weights.insert().values(weight=weight, entry_key=entry_key))
        return {"stored": True}

    return app


def whole(file: Path) -> FastAPI:
    """The app itself, with a consignment of twelve bins, its sample begun, and person 1 a grader who is signed in."""
    database = Database(str(file))
    upgrade(database)
    with database.writing() as session:
        assert season.shed_person(session, "Bench one", Role.GRADER) == 1
        market = season.market(session, season.spec_version(session), [season.tray_type(session)])
        block = season.block(session, season.grower(session))
        consignment = season.consignment(session, block, market, bins_net_g=[400_000] * 12)
        assert season.sample(session, consignment) == 1
        now = datetime.now(UTC)
        session.add(SignIn(token_sha256=hashed(HELD), person_id=1, proved_at=now, seen_at=now))
        session.commit()
    return create_app(Settings(database=database.url), database)


SERVED = {
    "bare": Way(bare, "bare_fruit"),
    "plain": Way(whole, "fruit"),
    "htmx": Way(whole, "fruit"),
    "kept": Way(whole, "fruit"),
}


if __name__ == "__main__":
    way, file, port = sys.argv[1:]
    uvicorn.run(SERVED[way].app(Path(file)), port=int(port), log_level="warning", access_log=False)
