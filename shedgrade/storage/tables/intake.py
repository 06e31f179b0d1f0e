"""What comes in: bin types and their tares, dockets, consignments, weighings, bins."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKeyConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class BinType(SQLModel, table=True):
    """A kind of field container."""

    __tablename__ = "bin_type"
    __table_args__ = (CheckConstraint("length(name) > 0", "named"),)

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    version: int = 1


class Tare(SQLModel, table=True):
    """A dated weighing of so many empties of a bin type, dry or wet."""

    __tablename__ = "tare"
    __table_args__ = (
        CheckConstraint("empties > 0", "some_empties"),
        CheckConstraint("total_g > 0", "has_weight"),
        CheckConstraint("state IN ('dry', 'wet')", "dry_or_wet"),
        UniqueConstraint("id", "bin_type_id"),  # so that a bin can point at a tare of its own type only
    )

    id: int | None = Field(default=None, primary_key=True)
    bin_type_id: int = to("bin_type.id")
    weighed_on: date
    state: str
    empties: int
    total_g: int
    weighed_by_id: int = to("person.id")


class Docket(SQLModel, table=True):
    """One truck's paper; it holds one or more consignments."""

    __tablename__ = "docket"
    __table_args__ = (CheckConstraint("length(number) > 0", "numbered"),)

    id: int | None = Field(default=None, primary_key=True)
    number: str = Field(unique=True)
    truck: str = ""
    received_at: datetime = moment()
    version: int = 1


class Consignment(SQLModel, table=True):
    """The fruit of one block and one pick on a docket. A wrong one is voided, never deleted."""

    __tablename__ = "consignment"
    __table_args__ = (
        UniqueConstraint("docket_id", "line"),
        CheckConstraint("picked_from <= picked_to", "picked_forwards"),
        CheckConstraint("picked_to <= received_at", "picked_before_received"),
        CheckConstraint("grower_bins > 0", "grower_counted_some"),
        CheckConstraint("line > 0", "line_counts_from_one"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", "void_has_reason"),
        CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", "void_has_person"),
    )

    id: int | None = Field(default=None, primary_key=True)
    docket_id: int = to("docket.id")
    line: int
    block_id: int = to("block.id")
    market_id: int = to("market.id")
    spec_version_id: int = to("spec_version.id")  # the market's on the day: a later one must not re-judge this fruit
    destination: str = ""  # the market's on the day, for the same reason
    presentation: str = ""
    picked_from: datetime = moment()
    picked_to: datetime = moment()
    received_at: datetime = moment(index=True)
    received_by_id: int = to("person.id")
    team: str = ""
    pulp_ddeg: int | None = None
    grower_bins: int | None = None
    voided_at: datetime | None = moment(default=None)
    voided_by_id: int | None = to("person.id", index=False, default=None)
    void_reason: str = ""
    version: int = 1


class Weighing(SQLModel, table=True):
    """One gross weight: of a single bin, or of a group weighed together. ``line`` counts within the consignment."""

    __tablename__ = "weighing"
    __table_args__ = (
        UniqueConstraint("consignment_id", "line"),
        CheckConstraint("gross_g > 0", "has_weight"),
        UniqueConstraint("id", "consignment_id"),  # so that a bin can point at a weighing of its own consignment only
    )

    id: int | None = Field(default=None, primary_key=True)
    consignment_id: int = to("consignment.id")
    line: int
    gross_g: int


class Bin(SQLModel, table=True):
    """A field container of a consignment; ``number`` counts within the consignment."""

    __tablename__ = "bin"
    __table_args__ = (
        UniqueConstraint("consignment_id", "number"),
        CheckConstraint("number > 0", "counts_from_one"),
        ForeignKeyConstraint(
            ["weighing_id", "consignment_id"], ["weighing.id", "weighing.consignment_id"], ondelete="RESTRICT"
        ),
        ForeignKeyConstraint(["tare_id", "bin_type_id"], ["tare.id", "tare.bin_type_id"], ondelete="RESTRICT"),
    )

    id: int | None = Field(default=None, primary_key=True)
    consignment_id: int = to("consignment.id")
    weighing_id: int = Field(index=True)
    number: int
    label: str = ""
    bin_type_id: int = to("bin_type.id")
    tare_id: int = Field(index=True)
    part: bool = False


class EmptiesWeighing(SQLModel, table=True):
    """The wet empties of a consignment weighed after tipping: it corrects the net, visibly, once a bin type."""

    __tablename__ = "empties_weighing"
    __table_args__ = (
        UniqueConstraint("consignment_id", "bin_type_id"),
        ForeignKeyConstraint(["tare_id", "bin_type_id"], ["tare.id", "tare.bin_type_id"], ondelete="RESTRICT"),
    )

    id: int | None = Field(default=None, primary_key=True)
    consignment_id: int = to("consignment.id", index=False)  # the UNIQUE above serves
    bin_type_id: int = to("bin_type.id")
    tare_id: int = Field(unique=True)
    weighed_at: datetime = moment()
