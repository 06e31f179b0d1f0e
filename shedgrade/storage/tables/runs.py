"""Runs: what was packed from what, everything that happened on the line, and the trays as sums that are kept up."""

from datetime import datetime

from sqlalchemy import BigInteger, CheckConstraint, ForeignKeyConstraint, Index, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class Run(SQLModel, table=True):
    """A stretch of packing. ``rule`` says how a combination of consignments is shared. One started by mistake is
    voided, never deleted."""

    __tablename__ = "run"
    __table_args__ = (
        CheckConstraint("kind IN ('packing', 'sizing pass', 're-run')", "known_kind"),
        CheckConstraint("rule IN ('net', 'bins', 'parts')", "known_rule"),
        CheckConstraint("finished_at >= started_at", "runs_forwards"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", "void_has_reason"),
        CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", "void_has_person"),
    )

    id: int | None = Field(default=None, primary_key=True)
    kind: str
    spec_version_id: int = to("spec_version.id")
    rule: str = "net"
    started_at: datetime = moment(index=True)
    started_by_id: int = to("person.id", index=False)
    finished_at: datetime | None = moment(default=None)
    voided_at: datetime | None = moment(default=None)
    voided_by_id: int | None = to("person.id", index=False, default=None)
    void_reason: str = ""
    version: int = 1


class RunLoad(SQLModel, table=True):
    """A consignment that a run packs; ``parts`` is its declared share, 0 where another rule shares."""

    __tablename__ = "run_load"
    __table_args__ = (CheckConstraint("parts >= 0", "not_negative"),)

    run_id: int = to("run.id", index=False, primary_key=True)  # the primary key serves
    consignment_id: int = to("consignment.id", primary_key=True)
    place: int
    parts: int = 0


class RunTray(SQLModel, table=True):
    """A tray type that a run packs."""

    __tablename__ = "run_tray"

    run_id: int = to("run.id", index=False, primary_key=True)  # the primary key serves
    tray_type_id: int = to("tray_type.id", primary_key=True)
    place: int


class RunBreak(SQLModel, table=True):
    """The lightest fruit of a count in a stretch of a run."""

    __tablename__ = "run_break"
    __table_args__ = (
        CheckConstraint("stretch > 0", "counts_from_one"),
        CheckConstraint("count > 0", "some_fruit"),
        CheckConstraint("from_dg > 0", "has_weight"),
        ForeignKeyConstraint(
            ["tray_type_id", "run_id"], ["run_tray.tray_type_id", "run_tray.run_id"], ondelete="RESTRICT"
        ),
    )

    run_id: int = to("run.id", index=False, primary_key=True)  # the primary key serves
    stretch: int = Field(primary_key=True)
    tray_type_id: int = Field(primary_key=True)
    count: int = Field(primary_key=True)
    from_dg: int


class SharedBinRow(SQLModel, table=True):
    """A bin of an outlet that several runs fill; weighed when it is full, and shared among them by ``rule``."""

    __tablename__ = "shared_bin"
    __table_args__ = (
        CheckConstraint("length(outlet_id) > 0", "goes_somewhere"),
        CheckConstraint("rule IN ('net', 'bins')", "known_rule"),
        CheckConstraint("tare_g >= 0 AND tare_g < gross_g", "tare_below_gross"),
        CheckConstraint("(gross_g IS NULL) = (weighed_at IS NULL)", "weight_has_time"),
        CheckConstraint("(gross_g IS NULL) = (tare_g IS NULL)", "weight_has_tare"),
        CheckConstraint("(gross_g IS NULL) = (weighed_by_id IS NULL)", "weight_has_person"),
    )

    id: int | None = Field(default=None, primary_key=True)
    outlet_id: str
    label: str = ""
    rule: str = "net"
    opened_at: datetime = moment()
    opened_by_id: int = to("person.id", index=False)
    gross_g: int | None = None
    tare_g: int | None = None
    weighed_at: datetime | None = moment(default=None)
    weighed_by_id: int | None = to("person.id", index=False, default=None)
    version: int = 1


class RunEvent(SQLModel, table=True):
    """One thing that happened in a run; ``number`` counts within it. What a kind does not need is NULL. With
    ``corrects_id`` it is a counter-entry, of the kind of what it takes back. ``counts`` are those of a tray, smallest
    first, separated by spaces. ``entry_key`` is that of the tap or form it came by, if it had one."""

    __tablename__ = "run_event"
    __table_args__ = (
        UniqueConstraint("run_id", "number"),
        UniqueConstraint("id", "run_id"),  # so that a counter-entry can point at an entry of its own run only
        # What is not a tray is read on every look at the run, however many trays there are.
        Index("ix_run_event_by_kind", "run_id", "kind", "number"),
        CheckConstraint("number > 0", "counts_from_one"),
        CheckConstraint("(kind IN ('trays', 'tray weighed')) = (counts IS NOT NULL)", "tray_has_counts"),
        CheckConstraint("kind NOT IN ('trays', 'tray weighed') OR (stretch > 0 AND class_id <> '')", "tray_has_class"),
        CheckConstraint("(kind = 'trays') = (trays IS NOT NULL)", "trays_are_counted"),
        CheckConstraint("trays > 0", "some_trays"),
        CheckConstraint("(kind = 'tray weighed') = (gross_g IS NOT NULL)", "weighed_has_gross"),
        CheckConstraint("tare_g >= 0 AND tare_g < gross_g", "tare_below_gross"),
        CheckConstraint("(kind = 'bins') = (bins IS NOT NULL)", "bins_are_counted"),
        CheckConstraint("bins > 0", "some_bins"),
        CheckConstraint("net_g > 0", "has_weight"),
        CheckConstraint("fruit > 0", "some_fruit"),
        ForeignKeyConstraint(
            ["tray_type_id", "run_id"], ["run_tray.tray_type_id", "run_tray.run_id"], ondelete="RESTRICT"
        ),
        ForeignKeyConstraint(
            ["consignment_id", "run_id"], ["run_load.consignment_id", "run_load.run_id"], ondelete="RESTRICT"
        ),
        ForeignKeyConstraint(["corrects_id", "run_id"], ["run_event.id", "run_event.run_id"], ondelete="RESTRICT"),
    )

    id: int | None = Field(default=None, primary_key=True)
    run_id: int = to("run.id", index=False)  # the UNIQUE above serves
    number: int
    kind: str
    at: datetime = moment()
    by_id: int = to("person.id", index=False)
    entry_key: str | None = Field(default=None, unique=True)
    corrects_id: int | None = Field(default=None, index=True)
    stretch: int | None = None
    class_id: str | None = None
    tray_type_id: int | None = None
    counts: str | None = None
    trays: int | None = None
    gross_g: int | None = None
    tare_g: int | None = None
    consignment_id: int | None = Field(default=None, index=True)
    bins: int | None = None
    net_g: int | None = None
    fruit: int | None = None
    way: str | None = None
    name: str | None = None
    other_run_id: int | None = to("run.id", default=None)
    shared_bin_id: int | None = to("shared_bin.id", default=None)
    person_id: int | None = to("person.id", index=False, default=None)


class RunLeft(SQLModel, table=True):
    """What was left when a line was cleared, and where it went; ``net_g`` NULL where only its fruit were counted."""

    __tablename__ = "run_left"
    __table_args__ = (
        CheckConstraint("what IN ('loose fruit', 'part tray', 'lugs to re-run')", "known_thing"),
        CheckConstraint("way IN ('outlet', 'carried out', 're-run')", "known_way"),
        CheckConstraint("net_g > 0", "has_weight"),
        CheckConstraint(
            "net_g IS NOT NULL OR (fruit > 0 AND count > 0 AND tray_type_id IS NOT NULL)", "weighed_or_counted"
        ),
    )

    event_id: int = to("run_event.id", index=False, primary_key=True)  # the primary key serves
    place: int = Field(primary_key=True)
    what: str
    way: str
    name: str = ""
    other_run_id: int | None = to("run.id", default=None)
    fruit: int = 0
    net_g: int | None = None
    tray_type_id: int | None = to("tray_type.id", index=False, default=None)
    count: int = 0


class RunTally(SQLModel, table=True):
    """The trays of a stretch by class, tray type and counts, and the check-weights of some of them, as sums that each
    entry adds to: a look at the run costs the same with ten trays as with ten thousand."""

    __tablename__ = "run_tally"
    __table_args__ = (
        CheckConstraint("trays >= 0", "trays_not_negative"),
        CheckConstraint("short >= 0 AND short <= weighed", "short_are_weighed"),
        ForeignKeyConstraint(
            ["tray_type_id", "run_id"], ["run_tray.tray_type_id", "run_tray.run_id"], ondelete="RESTRICT"
        ),
    )

    run_id: int = to("run.id", index=False, primary_key=True)  # the primary key serves
    stretch: int = Field(primary_key=True)
    class_id: str = Field(primary_key=True)
    tray_type_id: int = Field(primary_key=True)
    counts: str = Field(primary_key=True)
    trays: int = 0
    weighed: int = 0
    total_g: int = Field(default=0, sa_type=BigInteger)
    squares_g2: int = Field(default=0, sa_type=BigInteger)
    short: int = 0
