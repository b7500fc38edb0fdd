"""The tables. Readings are the only truth; `adopted` and `end_summary` are derived and may be rebuilt at any time.

Integer keys never leave the database; `uid` does, and references print as SHOP/REF. Only what SQLite and PostgreSQL
both do is used.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, MetaData, String, Table, Text, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

_NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}

#: exactly one of the three subjects is named
_ONE_SUBJECT = (
    "(CASE WHEN vehicle_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN part_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN item_id IS NULL THEN 0 ELSE 1 END) = 1"
)


class Base(DeclarativeBase):
    """Every table of the catalogue."""

    metadata = MetaData(naming_convention=_NAMING)


def table_of(model: type[Base]) -> Table:
    """The table of a model, for statements that fetch or write plain rows."""
    return Base.metadata.tables[model.__tablename__]


class _Referenced:
    """A record that can leave the database: it has a uid, and a reference within its shop."""

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    shop: Mapped[str] = mapped_column(String(16))
    ref: Mapped[str] = mapped_column(String(64))

    @property
    def reference(self) -> str:
        """``SHOP/REF``."""
        return f"{self.shop}/{self.ref}"


class CatalogueRow(Base):
    """The catalogue itself, one row; `digest` is derived from the readings in force and the decisions (`digest`)."""

    __tablename__ = "catalogue"
    __table_args__ = (CheckConstraint("id = 1", name="one_row"), CheckConstraint("revision >= 0", name="revision"))

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36))
    shop: Mapped[str] = mapped_column(String(16))
    revision: Mapped[int]
    digest: Mapped[str] = mapped_column(String(64), default="0" * 64, server_default="0" * 64)


class Vehicle(_Referenced, Base):
    """A car: a target or a donor."""

    __tablename__ = "vehicle"
    __table_args__ = (UniqueConstraint("shop", "ref"),)

    maker: Mapped[str] = mapped_column(Text, default="")
    model: Mapped[str] = mapped_column(Text, default="")
    years: Mapped[str] = mapped_column(Text, default="")
    note: Mapped[str] = mapped_column(Text, default="")


class Part(_Referenced, Base):
    """A design: what a part number names."""

    __tablename__ = "part"
    __table_args__ = (UniqueConstraint("shop", "ref"), Index(None, "kind"))

    kind: Mapped[str] = mapped_column(String(32))
    maker: Mapped[str] = mapped_column(Text, default="")
    number: Mapped[str] = mapped_column(Text, default="")
    name: Mapped[str] = mapped_column(Text, default="")


class Item(_Referenced, Base):
    """The one on my shelf, of a design."""

    __tablename__ = "item"
    __table_args__ = (UniqueConstraint("shop", "ref"), Index(None, "part_id"))

    part_id: Mapped[int] = mapped_column(ForeignKey("part.id"))


class FittedTo(Base):
    """Which vehicle a part came on, and where."""

    __tablename__ = "fitted_to"
    __table_args__ = (UniqueConstraint("part_id", "vehicle_id", "position"), Index(None, "vehicle_id"))

    id: Mapped[int] = mapped_column(primary_key=True)
    part_id: Mapped[int] = mapped_column(ForeignKey("part.id"))
    vehicle_id: Mapped[int] = mapped_column(ForeignKey("vehicle.id"))
    position: Mapped[str] = mapped_column(Text, default="")


class Source(_Referenced, Base):
    """Where readings come from; copies of one origin count once."""

    __tablename__ = "source"
    __table_args__ = (UniqueConstraint("shop", "ref"),)

    kind: Mapped[str] = mapped_column(String(24))
    title: Mapped[str] = mapped_column(Text, default="")
    origin: Mapped[str] = mapped_column(Text, default="")
    dated: Mapped[str] = mapped_column(String(10), default="")
    note: Mapped[str] = mapped_column(Text, default="")


class Sitting(_Referenced, Base):
    """Readings taken together: who, when, with what, in which axes. A survey is a sitting on a vehicle."""

    __tablename__ = "sitting"
    __table_args__ = (UniqueConstraint("shop", "ref"),)

    who: Mapped[str] = mapped_column(String(16), default="")
    dated: Mapped[str] = mapped_column(String(10), default="")
    source_id: Mapped[int] = mapped_column(ForeignKey("source.id"))
    tool: Mapped[str] = mapped_column(String(32), default="")
    vehicle_id: Mapped[int | None] = mapped_column(ForeignKey("vehicle.id"))
    datum: Mapped[str] = mapped_column(Text, default="")
    axes: Mapped[str] = mapped_column(Text, default="")
    ride_height: Mapped[str] = mapped_column(Text, default="")
    note: Mapped[str] = mapped_column(Text, default="")


class Reading(Base):
    """One value as somebody took it. Never changed; withdrawn or superseded by another row."""

    __tablename__ = "reading"
    __table_args__ = (
        CheckConstraint(_ONE_SUBJECT, name="one_subject"),
        CheckConstraint("u IS NULL OR u >= 0", name="u_not_negative"),
        CheckConstraint("number IS NOT NULL OR word IS NOT NULL", name="some_value"),
        Index(None, "part_id", "feature", "dimension"),
        Index(None, "item_id"),
        Index(None, "vehicle_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    vehicle_id: Mapped[int | None] = mapped_column(ForeignKey("vehicle.id"))
    part_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    item_id: Mapped[int | None] = mapped_column(ForeignKey("item.id"))
    sitting_id: Mapped[int] = mapped_column(ForeignKey("sitting.id"))
    feature: Mapped[str] = mapped_column(String(32))
    dimension: Mapped[str] = mapped_column(String(32))
    entered: Mapped[str] = mapped_column(Text)
    bare_unit: Mapped[str] = mapped_column(String(16), default="")
    number: Mapped[float | None]
    u: Mapped[float | None]
    word: Mapped[str | None] = mapped_column(Text)
    tool: Mapped[str] = mapped_column(String(32), default="")
    condition: Mapped[str] = mapped_column(String(16), default="")
    note: Mapped[str] = mapped_column(Text, default="")
    occurrence: Mapped[int]


class Withdrawal(Base):
    """A reading withdrawn, with the reason; `instead_uid` names the reading that supersedes it, if any."""

    __tablename__ = "withdrawal"

    id: Mapped[int] = mapped_column(primary_key=True)
    reading_id: Mapped[int] = mapped_column(ForeignKey("reading.id"), unique=True)
    reason: Mapped[str] = mapped_column(Text)
    who: Mapped[str] = mapped_column(String(16), default="")
    dated: Mapped[str] = mapped_column(String(10))
    instead_uid: Mapped[str | None] = mapped_column(String(36))


class FurtherWithdrawal(Base):
    """A withdrawal of a reading that somebody else withdrew earlier (that one is its `Withdrawal`)."""

    __tablename__ = "further_withdrawal"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    reading_id: Mapped[int] = mapped_column(ForeignKey("reading.id"))
    reason: Mapped[str] = mapped_column(Text)
    who: Mapped[str] = mapped_column(String(16), default="")
    dated: Mapped[str] = mapped_column(String(10))
    instead_uid: Mapped[str | None] = mapped_column(String(36))


class DecisionRow(Base):
    """A person's decision between readings in conflict, with the reason. Never changed; the last one holds.

    `taken` and `over` are JSON lists of uids: the readings that hold, and all that it was decided over. Which is the
    last goes by `dated`, then `turn` (`turns`), then `uid`.
    """

    __tablename__ = "decision"
    __table_args__ = (
        CheckConstraint(_ONE_SUBJECT, name="one_subject"),
        Index(None, "vehicle_id"),
        Index(None, "part_id"),
        Index(None, "item_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    vehicle_id: Mapped[int | None] = mapped_column(ForeignKey("vehicle.id"))
    part_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    item_id: Mapped[int | None] = mapped_column(ForeignKey("item.id"))
    feature: Mapped[str] = mapped_column(String(32))
    dimension: Mapped[str] = mapped_column(String(32))
    taken: Mapped[str] = mapped_column(Text)
    over: Mapped[str] = mapped_column(Text)
    reason: Mapped[str] = mapped_column(Text)
    who: Mapped[str] = mapped_column(String(16), default="")
    dated: Mapped[str] = mapped_column(String(10))
    turn: Mapped[int] = mapped_column(default=1, server_default="1")


class Statement(Base):
    """A dated statement about a thing: condition, welds, price, a note. The last one is in force (`turns.STATED`)."""

    __tablename__ = "statement"
    __table_args__ = (
        CheckConstraint(_ONE_SUBJECT, name="one_subject"),
        Index(None, "vehicle_id"),
        Index(None, "part_id"),
        Index(None, "item_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    vehicle_id: Mapped[int | None] = mapped_column(ForeignKey("vehicle.id"))
    part_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    item_id: Mapped[int | None] = mapped_column(ForeignKey("item.id"))
    field: Mapped[str] = mapped_column(String(24))
    text: Mapped[str] = mapped_column(Text)
    dated: Mapped[str] = mapped_column(String(10), default="")
    turn: Mapped[int] = mapped_column(default=1, server_default="1")


class PartJoin(Base):
    """A word that two parts are one design, or (`undone`) that they are not. Never changed; the last one holds."""

    __tablename__ = "part_join"
    __table_args__ = (CheckConstraint("part_id <> other_id", name="two_parts"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    part_id: Mapped[int] = mapped_column(ForeignKey("part.id"))
    other_id: Mapped[int] = mapped_column(ForeignKey("part.id"))
    undone: Mapped[bool]
    reason: Mapped[str] = mapped_column(Text)
    who: Mapped[str] = mapped_column(String(16), default="")
    dated: Mapped[str] = mapped_column(String(10))
    turn: Mapped[int]


class Shop(Base):
    """Another shop whose records are here: its code and the uid of its catalogue, so that no two take one code."""

    __tablename__ = "shop"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(String(16), unique=True)
    catalogue_uid: Mapped[str] = mapped_column(String(36))


class Permission(Base):
    """What another shop permits with the records that it gave."""

    __tablename__ = "permission"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    shop: Mapped[str] = mapped_column(String(16))
    text: Mapped[str] = mapped_column(Text)
    dated: Mapped[str] = mapped_column(String(10))


class Build(_Referenced, Base):
    """A kit as really fitted to a car; the kit's file is kept as it was, named by its digest."""

    __tablename__ = "build"
    __table_args__ = (UniqueConstraint("shop", "ref"),)

    kit: Mapped[str] = mapped_column(Text)
    vehicle_id: Mapped[int] = mapped_column(ForeignKey("vehicle.id"))
    dated: Mapped[str] = mapped_column(String(10), default="")
    kit_file: Mapped[str] = mapped_column(Text, default="", server_default="")
    kit_digest: Mapped[str] = mapped_column(String(64), default="", server_default="")
    kit_text: Mapped[str] = mapped_column(Text, default="", server_default="")
    who: Mapped[str] = mapped_column(String(16), default="", server_default="")
    note: Mapped[str] = mapped_column(Text, default="", server_default="")


class BuildItem(Base):
    """Which item took which role in a build."""

    __tablename__ = "build_item"
    __table_args__ = (UniqueConstraint("build_id", "role"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    build_id: Mapped[int] = mapped_column(ForeignKey("build.id"))
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"))
    role: Mapped[str] = mapped_column(String(32))


class BuildSitting(Base):
    """Which sittings took the as-built readings of a build."""

    __tablename__ = "build_sitting"

    build_id: Mapped[int] = mapped_column(ForeignKey("build.id"), primary_key=True)
    sitting_id: Mapped[int] = mapped_column(ForeignKey("sitting.id"), primary_key=True)


class KeptReport(Base):
    """A report as it was given; never changed. Its uid follows from all that it says, so that a change shows.

    `body` is the report as JSON, `shown` as text; `kit_text` the kit's file, `fitted` the items that took roles of it
    (a JSON object by address), so that the same kit can be checked again.
    """

    __tablename__ = "report"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    kit: Mapped[str] = mapped_column(Text)
    kit_digest: Mapped[str] = mapped_column(String(64))
    made: Mapped[str] = mapped_column(String(20))
    revision: Mapped[int]
    digest: Mapped[str] = mapped_column(String(64))
    verdict: Mapped[str] = mapped_column(String(16))
    body: Mapped[str] = mapped_column(Text)
    program: Mapped[str] = mapped_column(String(64), default="", server_default="")
    kit_text: Mapped[str] = mapped_column(Text, default="", server_default="")
    fitted: Mapped[str] = mapped_column(Text, default="{}", server_default="{}")
    shown: Mapped[str] = mapped_column(Text, default="", server_default="")


class ReportReading(Base):
    """Which readings a kept report rests on."""

    __tablename__ = "report_reading"

    report_id: Mapped[int] = mapped_column(ForeignKey("report.id"), primary_key=True)
    reading_id: Mapped[int] = mapped_column(ForeignKey("reading.id"), primary_key=True)


class BuildReport(Base):
    """Which kept reports belong to a build."""

    __tablename__ = "build_report"

    build_id: Mapped[int] = mapped_column(ForeignKey("build.id"), primary_key=True)
    report_id: Mapped[int] = mapped_column(ForeignKey("report.id"), primary_key=True)


class Paper(Base):
    """A photograph or a paper of a sitting or of a build: where it is, and the SHA-256 of what it held."""

    __tablename__ = "paper"
    __table_args__ = (
        CheckConstraint("(sitting_id IS NULL) <> (build_id IS NULL)", name="one_owner"),
        UniqueConstraint("sitting_id", "path", "digest"),
        UniqueConstraint("build_id", "path", "digest"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    sitting_id: Mapped[int | None] = mapped_column(ForeignKey("sitting.id"))
    build_id: Mapped[int | None] = mapped_column(ForeignKey("build.id"))
    path: Mapped[str] = mapped_column(Text)
    digest: Mapped[str] = mapped_column(String(64))


class Adopted(Base):
    """Derived: the value in force for one feature and dimension of one thing, or why there is none."""

    __tablename__ = "adopted"
    __table_args__ = (
        CheckConstraint(_ONE_SUBJECT, name="one_subject"),
        UniqueConstraint("vehicle_id", "part_id", "item_id", "feature", "dimension"),
        Index(None, "part_id"),
        Index(None, "item_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    vehicle_id: Mapped[int | None] = mapped_column(ForeignKey("vehicle.id"))
    part_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    item_id: Mapped[int | None] = mapped_column(ForeignKey("item.id"))
    feature: Mapped[str] = mapped_column(String(32))
    dimension: Mapped[str] = mapped_column(String(96))
    number: Mapped[float | None]
    u: Mapped[float | None]
    word: Mapped[str | None] = mapped_column(Text)
    unit: Mapped[str] = mapped_column(String(16), default="")
    basis: Mapped[str] = mapped_column(String(16))
    gap: Mapped[str] = mapped_column(Text, default="")
    hearsay: Mapped[bool]
    assumed: Mapped[bool]
    shape: Mapped[str] = mapped_column(String(16))
    shared: Mapped[str] = mapped_column(Text)
    source: Mapped[str] = mapped_column(Text)
    shown: Mapped[str] = mapped_column(Text)
    readings: Mapped[str] = mapped_column(Text)


class EndSummary(Base):
    """Derived: one row per part end with what it is looked up by.

    Attributes:
        near_key: the designation by which the end and its mate must agree, with its sex (`ends.end_key`); None where it
            is not known, so that what is left out of a search by it can be counted.
        far_key: the `near_key` of the part's other end, where it has just two ends; None where that is not known.
        size: its leading size in mm (dictionary ``sizes.csv``: the large end of a cone, the crests of a spline, the
            spacing of a rack's inner joints), and `size_u` its standard uncertainty.
        taper: the ratio of its cone.
    """

    __tablename__ = "end_summary"
    __table_args__ = (
        UniqueConstraint("part_id", "feature"),
        # both cover their queries: the table itself is not touched
        Index("ix_end_summary_keys", "kind", "feature", "far_key", "near_key", "size", "taper", "part_id"),
        Index("ix_end_summary_sizes", "kind", "feature", "near_key", "size", "taper", "part_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    part_id: Mapped[int] = mapped_column(ForeignKey("part.id"))
    feature: Mapped[str] = mapped_column(String(32))
    kind: Mapped[str] = mapped_column(String(32))
    near_key: Mapped[str | None] = mapped_column(String(48))
    far_key: Mapped[str | None] = mapped_column(String(48))
    size: Mapped[float | None]
    size_u: Mapped[float | None]
    taper: Mapped[float | None]
    thread: Mapped[str | None] = mapped_column(String(32))
    hand: Mapped[str | None] = mapped_column(String(2))
    sex: Mapped[str | None] = mapped_column(String(8))
    spline_count: Mapped[int | None]
    hole_count: Mapped[int | None]
