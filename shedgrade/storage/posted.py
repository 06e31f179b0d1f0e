"""Forms that were carried out before."""

from datetime import datetime

from sqlmodel import Session

from shedgrade.storage.tables import PostedForm


def answer_of(session: Session, key: str, person_id: int) -> str | None:
    """Where the answer of this form is, if the same person sent it before."""
    row = session.get(PostedForm, key)
    return row.answer if row is not None and row.person_id == person_id else None


def keep(session: Session, key: str, person_id: int, answer: str, now: datetime) -> None:
    """Remember that the form was carried out."""
    session.add(PostedForm(key=key, person_id=person_id, answer=answer, posted_at=now))
