"""Two servers that carry out the same thing at once: the database lets one win, and nobody is shown a broken page."""

import pytest
from sqlmodel import select

from shedgrade.actions import growers
from shedgrade.domain.people import Role
from shedgrade.storage import posted as forms
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Grower
from tests.support.visitor import parsed, visitor, words


def test_the_same_form_at_two_servers_shows_the_winners_answer(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = visitor(database, Role.MANAGER)
    keeper.post("/growers", {"name": "Tallow Creek", "form_key": "k"})
    # The loser looked before the winner had committed: neither the name nor the form was there yet.
    monkeypatch.setattr(growers, "_refuse_taken_grower", lambda *_args, **_kw: None)
    looked = iter([None])
    there = forms.answer_of
    monkeypatch.setattr(forms, "answer_of", lambda *args: next(looked, there(*args)))
    answer = keeper.post("/growers", {"name": "Tallow Creek", "form_key": "k"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/growers?done=grower")


def test_another_form_with_the_same_name_is_told_to_send_again(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = visitor(database, Role.MANAGER)
    keeper.post("/growers", {"name": "Tallow Creek", "form_key": "k"})
    monkeypatch.setattr(growers, "_refuse_taken_grower", lambda *_args, **_kw: None)
    answer = keeper.post("/growers", {"name": "Tallow Creek", "form_key": "other"})
    assert answer.status_code == 409
    assert "send it again" in words(parsed(answer))
    with database.reading() as session:
        assert len(session.exec(select(Grower)).all()) == 1
