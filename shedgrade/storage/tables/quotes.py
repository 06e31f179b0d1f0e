"""Quotes to buyers; a quote holds stock while it stands."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class Quote(SQLModel, table=True):
    """An offer to a buyer; ``number`` is what both sides call it.

    Currency and spec version are those of the day: a market edited later must not change what was offered.
    """

    __tablename__ = "quote"
    __table_args__ = (
        CheckConstraint("length(buyer) > 0", "names_buyer"),
        CheckConstraint("length(currency) = 3", "currency_code"),
        CheckConstraint(
            "(withdrawn_at IS NULL) = (withdrawn_by_id IS NULL)",
            "withdrawal_has_person",
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    number: int = Field(unique=True)
    market_id: int = to("market.id")
    spec_version_id: int = to("spec_version.id")
    currency: str
    buyer: str
    basis: str
    note: str = ""
    valid_until: date
    made_at: datetime = moment()
    made_by_id: int = to("person.id")
    withdrawn_at: datetime | None = moment(default=None)
    withdrawn_by_id: int | None = to("person.id", default=None)
    version: int = 1


class QuoteSource(SQLModel, table=True):
    """A consignment that a quote draws on, and how many fruit from how many draws had been looked at by then."""

    __tablename__ = "quote_source"
    __table_args__ = (CheckConstraint("n_fruit > 0 AND n_draws > 0", "was_looked_at"),)

    quote_id: int = to("quote.id", primary_key=True)
    consignment_id: int = to("consignment.id", primary_key=True)
    n_fruit: int
    n_draws: int


class QuoteLine(SQLModel, table=True):
    """Trays of one class and count at a price, with what was likely there and could be promised when it was made,
    both less what other quotes held."""

    __tablename__ = "quote_line"
    __table_args__ = (
        UniqueConstraint("quote_id", "line"),
        CheckConstraint("trays > 0", "some_trays"),
        CheckConstraint("price_minor >= 0", "not_negative"),
        CheckConstraint("price_known_as IN ('list', 'typed')", "price_has_origin"),
    )

    id: int | None = Field(default=None, primary_key=True)
    quote_id: int = to("quote.id")
    line: int
    tray_type_id: int = to("tray_type.id")
    class_id: str
    count: int
    trays: int
    price_minor: int
    price_known_as: str
    expected_trays: int
    promised_trays: int


class QuoteHold(SQLModel, table=True):
    """The trays of a line that stand on one consignment."""

    __tablename__ = "quote_hold"
    __table_args__ = (CheckConstraint("trays > 0", "some_trays"),)

    quote_line_id: int = to("quote_line.id", primary_key=True)
    consignment_id: int = to("consignment.id", primary_key=True)
    trays: int
