"""The tables. Rows that carry who and when are only ever added: the latest one counts."""

from datetime import datetime

from sqlalchemy import (
    JSON,
    Boolean,
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from lesioncompare.store.column_types import TakenTime, UtcTime

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _id() -> Column[str]:
    return Column("id", String(24), primary_key=True)


def _of(table: str, *, optional: bool = False, name: str = "") -> Column[str]:
    return Column(
        name or f"{table}_id", String(24), ForeignKey(f"{table}.id"), nullable=optional, index=True
    )


def _instant(name: str, *, optional: bool = False) -> Column[datetime]:
    return Column(name, UtcTime, nullable=optional)


def _signed() -> tuple[Column[str], Column[datetime]]:
    """Who wrote the row, and when."""
    return Column("who", String(120), nullable=False), _instant("at")


cat = Table(
    "cat",
    metadata,
    _id(),
    Column("name", String(120), nullable=False),
    Column("coat_colour", String(40), nullable=False),
    Column("coat_pattern", String(40), nullable=False),
    Column("white_areas", JSON, nullable=False),
    Column("pigment", String(40), nullable=False),
    Column("birth_year", Integer),
    Column("neutered", Boolean),
    Column("outdoor_hours", Float),
    Column("simulated", Boolean, nullable=False),
    _instant("added_at"),
    _instant("removed_at", optional=True),
    CheckConstraint("outdoor_hours IS NULL OR outdoor_hours BETWEEN 0 AND 24", name="hours"),
)
site = Table(
    "site",
    metadata,
    _id(),
    _of("cat"),
    Column("place", String(40), nullable=False),
    Column("every_days", Integer, nullable=False),
    _instant("added_at"),
    _instant("removed_at", optional=True),
    CheckConstraint("every_days > 0", name="interval"),
)
spot = Table(
    "spot",
    metadata,
    _id(),
    _of("site"),
    Column("name", String(120), nullable=False),
    _instant("added_at"),
    _instant("removed_at", optional=True),
)
visit = Table(
    "visit",
    metadata,
    _id(),
    _of("site"),
    Column("step", String(20), nullable=False),
    Column("taken", TakenTime),
    Column("sticker_diameter_mm", Float),
    Column("draft", JSON, nullable=False),
    _instant("began_at"),
    _instant("finished_at", optional=True),
    _instant("removed_at", optional=True),
    CheckConstraint("sticker_diameter_mm IS NULL OR sticker_diameter_mm > 0", name="sticker"),
)
photo = Table(
    "photo",
    metadata,
    _id(),
    _of("visit"),
    Column("sha256", String(64), nullable=False, index=True),
    Column("name", String(255), nullable=False),
    Column("bytes", Integer, nullable=False),
    Column("taken", TakenTime),
    Column("taken_basis", String(40), nullable=False),
    _instant("added_at"),
    UniqueConstraint("visit_id", "sha256"),
)
photo_state = Table(
    "photo_state",
    metadata,
    _id(),
    _of("photo"),
    Column("state", String(20), nullable=False),
    Column("reason", Text, nullable=False),
    *_signed(),
    CheckConstraint("state IN ('used', 'excluded', 'removed')", name="state"),
)
seed = Table(
    "seed",
    metadata,
    _id(),
    _of("photo"),
    _of("spot"),
    Column("x", Float, nullable=False),
    Column("y", Float, nullable=False),
    Column("radius", Float, nullable=False),
    *_signed(),
    CheckConstraint("radius > 0", name="radius"),
)
correction = Table(
    "correction",
    metadata,
    _id(),
    _of("photo"),
    _of("spot"),
    Column("kind", String(20), nullable=False),
    Column("contour_px", JSON(none_as_null=True)),
    Column("strokes", JSON(none_as_null=True)),
    Column("reason", Text, nullable=False),
    *_signed(),
    CheckConstraint("kind IN ('corrected', 'accepted', 'rejected', 'automatic')", name="kind"),
)
run = Table(
    "run",
    metadata,
    _id(),
    _of("photo"),
    _of("spot"),
    _of("seed", optional=True),
    _of("correction", optional=True),
    _of("photo", optional=True, name="first_photo_id"),
    Column("version", String(40), nullable=False),
    Column("settings_digest", String(12), nullable=False),
    Column("settings", JSON, nullable=False),
    Column("reading", JSON, nullable=False),
    _instant("at"),
)
answer = Table(
    "answer",
    metadata,
    _id(),
    _of("visit"),
    Column("question", String(60), nullable=False),
    Column("value", String(60), nullable=False),
    *_signed(),
)
note = Table(
    "note",
    metadata,
    _id(),
    _of("site"),
    _of("visit", optional=True),
    Column("text", Text, nullable=False),
    *_signed(),
)
concern = Table(
    "concern",
    metadata,
    _id(),
    _of("site"),
    Column("text", Text, nullable=False),
    *_signed(),
)
decision = Table(
    "decision",
    metadata,
    _id(),
    _of("site"),
    _of("spot", optional=True),
    _of("photo", optional=True),
    _of("decision", optional=True),
    Column("kind", String(20), nullable=False),
    Column("text", Text, nullable=False),
    Column("due", String(10)),
    Column("x", Float),
    Column("y", Float),
    *_signed(),
)
print_check = Table(
    "print_check",
    metadata,
    _id(),
    Column("printed_bar_mm", Float, nullable=False),
    *_signed(),
    CheckConstraint("printed_bar_mm > 0", name="bar"),
)
home_check = Table(
    "home_check",
    metadata,
    _id(),
    _of("cat"),
    Column("day", String(10), nullable=False),
    Column("entries", JSON, nullable=False),
    *_signed(),
)
normal = Table(
    "normal",
    metadata,
    _id(),
    _of("cat"),
    Column("item", String(60), nullable=False),
    Column("text", Text, nullable=False),
    *_signed(),
)
reminder = Table(
    "reminder",
    metadata,
    _id(),
    _of("site"),
    Column("weekday", Integer, nullable=False),
    Column("clock", String(5), nullable=False),
    Column("active", Boolean, nullable=False),
    *_signed(),
    CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday"),
)
place = Table(
    "place",
    metadata,
    _id(),
    Column("latitude", Float, nullable=False),
    Column("longitude", Float, nullable=False),
    Column("zone", String(60), nullable=False),
    Column("altitude_m", Float, nullable=False),
    *_signed(),
    CheckConstraint("latitude BETWEEN -90 AND 90", name="latitude"),
    CheckConstraint("longitude BETWEEN -180 AND 180", name="longitude"),
)
outing = Table(
    "outing",
    metadata,
    _id(),
    _of("cat"),
    Column("spans", JSON, nullable=False),
    *_signed(),
)
practice = Table(
    "practice",
    metadata,
    _id(),
    Column("item", String(20), nullable=False, index=True),
    Column("said", String(40), nullable=False),
    *_signed(),
)
AT_HOME = (place, practice)  # never handed over: where people live, and how well they see
