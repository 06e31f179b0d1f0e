"""Samples, the draws they are made of, and fruit measured one by one. Facts only: no class is stored."""

from datetime import datetime

from sqlalchemy import CheckConstraint, Index, Text, UniqueConstraint, text
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to

_STANDS = text("file_sha256 <> '' AND voided_at IS NULL")


class Sample(SQLModel, table=True):
    """A sample of a consignment; it answers one question. ``looked_for`` is "" for every defect kind of the crop,
    "-" for none of them (a file of weights), else the kinds looked for, separated by spaces. ``file_sha256`` is the sum
    of the file it was read from, "" at the bench; a file is read once for a consignment, unless its sample was voided.
    A wrong sample is voided, never deleted."""

    __tablename__ = "sample"
    __table_args__ = (
        CheckConstraint(
            "question IN ('intake', 'table', 'packed tray', 'reject belt')",
            "known_question",
        ),
        CheckConstraint("origin IN ('bench', 'file')", "known_origin"),
        CheckConstraint("length(file_sha256) IN (0, 64)", "file_hashed"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", "void_has_reason"),
        CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", "void_has_person"),
        Index(
            "uq_sample_file",
            "consignment_id",
            "file_sha256",
            unique=True,
            sqlite_where=_STANDS,
            postgresql_where=_STANDS,
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    consignment_id: int = to("consignment.id")
    question: str
    tray_type_id: int | None = to("tray_type.id", default=None)
    looked_for: str = Field(default="", sa_type=Text)
    origin: str = "bench"
    file_sha256: str = ""
    started_at: datetime = moment()
    started_by_id: int = to("person.id")
    voided_at: datetime | None = moment(default=None)
    voided_by_id: int | None = to("person.id", index=False, default=None)
    void_reason: str = ""
    version: int = 1


class Draw(SQLModel, table=True):
    """One bin or tray that fruit were taken from; ``number`` counts within the sample. ``turn`` counts the times one
    was gone to: fruit go into the draw of the highest. A draw without a fruit is no record yet and may move on."""

    __tablename__ = "draw"
    __table_args__ = (
        UniqueConstraint("sample_id", "number"),
        UniqueConstraint("sample_id", "turn"),
        CheckConstraint("number > 0", "counts_from_one"),
    )

    id: int | None = Field(default=None, primary_key=True)
    sample_id: int = to("sample.id", index=False)  # the UNIQUE above serves
    number: int
    turn: int
    bin_id: int | None = to("bin.id", default=None)
    label: str = ""


class FruitRow(SQLModel, table=True):
    """One measured fruit; ``number`` counts within the sample. A wrong one is voided, never changed or deleted."""

    __tablename__ = "fruit"
    __table_args__ = (
        UniqueConstraint("sample_id", "number"),
        CheckConstraint("weight_dg > 0", "has_weight"),
        CheckConstraint("number > 0", "counts_from_one"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", "void_has_reason"),
        CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", "void_has_person"),
    )

    id: int | None = Field(default=None, primary_key=True)
    sample_id: int = to("sample.id", index=False)  # the UNIQUE above serves
    draw_id: int = to("draw.id")
    number: int
    weight_dg: int
    stage: int | None = None
    size_code: str | None = None
    entry_key: str = Field(unique=True)
    measured_at: datetime = moment()
    measured_by_id: int = to("person.id", index=False)
    voided_at: datetime | None = moment(default=None)
    voided_by_id: int | None = to("person.id", index=False, default=None)
    void_reason: str = ""


class FruitDefect(SQLModel, table=True):
    """One mark of one fruit: its area, or its share of the surface, or just that it is there; its length and in how
    many places it is, where taken. ``states`` are the states seen on it, separated by spaces, "" for none; NULL says
    that nobody looked at its state."""

    __tablename__ = "fruit_defect"
    __table_args__ = (
        CheckConstraint("area_mm2 > 0", "area_above_zero"),
        CheckConstraint("share_bp > 0 AND share_bp <= 10000", "share_in_range"),
        CheckConstraint("area_mm2 IS NULL OR share_bp IS NULL", "measured_one_way"),
        CheckConstraint("length_dmm > 0", "length_above_zero"),
        CheckConstraint("places > 0", "some_places"),
    )

    fruit_id: int = to("fruit.id", index=False, primary_key=True)  # the primary key serves
    place: int = Field(primary_key=True)
    kind: str
    area_mm2: int | None = None
    share_bp: int | None = None
    length_dmm: int | None = None
    places: int | None = None
    states: str | None = None


class FruitMeasure(SQLModel, table=True):
    """What else was taken of one fruit: a measure of its crop, as a whole number in the measure's stored unit."""

    __tablename__ = "fruit_measure"
    __table_args__ = (CheckConstraint("value >= 0", "not_negative"),)

    fruit_id: int = to("fruit.id", index=False, primary_key=True)  # the primary key serves
    measure: str = Field(primary_key=True)
    value: int


class FruitCapture(SQLModel, table=True):
    """A fruit that was kept on a tablet before it was sent: on which of the shed's tablets (none in a browser of
    somebody's own, or where it came in a file), when by that tablet's own clock, which nobody sets (none where that is
    no time), who was signed in when it arrived, and the sum of the file it came in, "" for none. When it arrived the
    fruit itself says."""

    __tablename__ = "fruit_capture"

    fruit_id: int = to("fruit.id", index=False, primary_key=True)  # the primary key serves
    tablet_id: int | None = to("tablet.id", index=False, default=None)
    captured_at: datetime | None = moment(default=None)
    sent_by_id: int = to("person.id", index=False)
    file_sha256: str = ""
