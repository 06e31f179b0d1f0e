"""Markets: currency, spec, tray types and dated price lists that go together."""

from datetime import date

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import to


class Market(SQLModel, table=True):
    """Where fruit is sold, and under which spec version. ``destination`` and ``presentation`` are words of that spec,
    "" where it asks for none."""

    __tablename__ = "market"
    __table_args__ = (
        CheckConstraint("length(name) > 0", "named"),
        CheckConstraint("length(currency) = 3", "currency_code"),
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    currency: str
    spec_version_id: int = to("spec_version.id")
    destination: str = ""
    presentation: str = ""
    version: int = 1


class MarketTray(SQLModel, table=True):
    """A tray type a market takes; the first by ``place`` is the one a sample is counted for."""

    __tablename__ = "market_tray"
    __table_args__ = (UniqueConstraint("market_id", "place"),)

    market_id: int = to("market.id", primary_key=True)
    tray_type_id: int = to("tray_type.id", primary_key=True)
    place: int


class PriceList(SQLModel, table=True):
    """A market's prices from a day on; the latest one that has begun is in force. Of two that begin on one day the
    later one kept counts: it corrects the first, which stays to be seen. ``spec_version_id`` is what the market bought
    under when it was written, None where that was not kept yet; a published version
    stays for good, so no foreign key has to hold it."""

    __tablename__ = "price_list"

    id: int | None = Field(default=None, primary_key=True)
    market_id: int = to("market.id")
    spec_version_id: int | None = None
    valid_from: date
    note: str = ""


class TrayPrice(SQLModel, table=True):
    """What a tray of a class and count fetches."""

    __tablename__ = "tray_price"
    __table_args__ = (CheckConstraint("price_minor >= 0", "not_negative"),)

    price_list_id: int = to("price_list.id", primary_key=True)
    tray_type_id: int = to("tray_type.id", primary_key=True)
    class_id: str = Field(primary_key=True)
    count: int = Field(primary_key=True)
    price_minor: int


class OutletPrice(SQLModel, table=True):
    """What a kilogram to an outlet fetches; below zero where it costs money to be rid of it."""

    __tablename__ = "outlet_price"

    price_list_id: int = to("price_list.id", primary_key=True)
    outlet_id: str = Field(primary_key=True)
    kg_minor: int
