"""Forms already carried out, so that the same form sent twice is stored once."""

from datetime import datetime

from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class PostedForm(SQLModel, table=True):
    """The key a form was drawn with, who sent it, and where its answer is."""

    __tablename__ = "posted_form"

    key: str = Field(primary_key=True)
    person_id: int = to("person.id")
    answer: str
    posted_at: datetime = moment()
