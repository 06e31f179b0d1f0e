"""The shed's dated list of tray types."""

from dataclasses import replace
from datetime import date

import pytest

from shedgrade.actions.trays import TrayError, TrayFacts, add_tray
from shedgrade.storage import markets
from shedgrade.storage.database import Database

FACTS = TrayFacts("7 kg", "mango", 7000, (14, 16, 18), 9000, date(2026, 1, 1))


def test_a_tray_is_kept_as_the_domain_counts_it(database: Database) -> None:
    with database.writing() as session:
        row = add_tray(session, FACTS)
        tray = markets.tray_type(session, row.id or 0)
    assert (tray.name, tray.net_g, tray.counts, tray.heaviest_dg) == ("7 kg", 7000, (14, 16, 18), 9000)


def test_a_later_row_of_the_name_takes_its_place_and_the_earlier_one_stays(database: Database) -> None:
    with database.writing() as session:
        first = add_tray(session, FACTS)
        second = add_tray(session, replace(FACTS, net_g=6800, valid_from=date(2026, 2, 1)))
        assert [found.row.id for found in markets.tray_types(session)] == [second.id, first.id]
        assert markets.tray_type(session, first.id or 0).net_g == 7000


@pytest.mark.parametrize(
    ("change", "field", "sentence"),
    [
        ({"valid_from": date(2026, 1, 1)}, "valid_from", "on the list from 2026-01-01"),
        ({"valid_from": date(2025, 12, 1)}, "valid_from", "Choose a later day"),
        ({"crop_id": "avocado", "valid_from": date(2026, 3, 1)}, "name", "tray for other fruit already"),
        ({"name": "New", "heaviest_dg": 100}, "heaviest", "fills this tray"),
        ({"name": "New", "counts": ()}, "counts", "give each count once"),
    ],
)
def test_refuses(database: Database, change: dict[str, object], field: str, sentence: str) -> None:
    with database.writing() as session:
        add_tray(session, FACTS)
        with pytest.raises(TrayError, match=sentence) as refused:
            add_tray(session, replace(FACTS, **change))  # type: ignore[arg-type]
        assert refused.value.field == field
        assert len(markets.tray_types(session)) == 1
