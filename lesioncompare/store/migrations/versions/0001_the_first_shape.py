"""The first shape."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One table after another, those referred to first."""
    for make in (
        _cat,
        _print_check,
        _home_check,
        _normal,
        _site,
        _reminder,
        _spot,
        _visit,
        _answer,
        _note,
        _photo,
        _correction,
        _decision,
        _photo_state,
        _seed,
        _run,
    ):
        make()


def _cat() -> None:
    op.create_table(
        "cat",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("coat_colour", sa.String(length=40), nullable=False),
        sa.Column("coat_pattern", sa.String(length=40), nullable=False),
        sa.Column("white_areas", sa.JSON(), nullable=False),
        sa.Column("pigment", sa.String(length=40), nullable=False),
        sa.Column("birth_year", sa.Integer(), nullable=True),
        sa.Column("neutered", sa.Boolean(), nullable=True),
        sa.Column("outdoor_hours", sa.Float(), nullable=True),
        sa.Column("simulated", sa.Boolean(), nullable=False),
        sa.Column("added_at", sa.DateTime(), nullable=False),
        sa.Column("removed_at", sa.DateTime(), nullable=True),
        sa.CheckConstraint(
            "outdoor_hours IS NULL OR outdoor_hours BETWEEN 0 AND 24", name=op.f("ck_cat_hours")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cat")),
    )


def _print_check() -> None:
    op.create_table(
        "print_check",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("printed_bar_mm", sa.Float(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("printed_bar_mm > 0", name=op.f("ck_print_check_bar")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_print_check")),
    )


def _home_check() -> None:
    op.create_table(
        "home_check",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("cat_id", sa.String(length=24), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("entries", sa.JSON(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["cat_id"], ["cat.id"], name=op.f("fk_home_check_cat_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_home_check")),
    )
    op.create_index(op.f("ix_home_check_cat_id"), "home_check", ["cat_id"])


def _normal() -> None:
    op.create_table(
        "normal",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("cat_id", sa.String(length=24), nullable=False),
        sa.Column("item", sa.String(length=60), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["cat_id"], ["cat.id"], name=op.f("fk_normal_cat_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_normal")),
    )
    op.create_index(op.f("ix_normal_cat_id"), "normal", ["cat_id"])


def _site() -> None:
    op.create_table(
        "site",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("cat_id", sa.String(length=24), nullable=False),
        sa.Column("place", sa.String(length=40), nullable=False),
        sa.Column("every_days", sa.Integer(), nullable=False),
        sa.Column("added_at", sa.DateTime(), nullable=False),
        sa.Column("removed_at", sa.DateTime(), nullable=True),
        sa.CheckConstraint("every_days > 0", name=op.f("ck_site_interval")),
        sa.ForeignKeyConstraint(["cat_id"], ["cat.id"], name=op.f("fk_site_cat_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site")),
    )
    op.create_index(op.f("ix_site_cat_id"), "site", ["cat_id"])


def _reminder() -> None:
    op.create_table(
        "reminder",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("site_id", sa.String(length=24), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("clock", sa.String(length=5), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_reminder_weekday")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_reminder_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reminder")),
    )
    op.create_index(op.f("ix_reminder_site_id"), "reminder", ["site_id"])


def _spot() -> None:
    op.create_table(
        "spot",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("site_id", sa.String(length=24), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("added_at", sa.DateTime(), nullable=False),
        sa.Column("removed_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_spot_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_spot")),
    )
    op.create_index(op.f("ix_spot_site_id"), "spot", ["site_id"])


def _visit() -> None:
    op.create_table(
        "visit",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("site_id", sa.String(length=24), nullable=False),
        sa.Column("step", sa.String(length=20), nullable=False),
        sa.Column("taken", sa.String(length=40), nullable=True),
        sa.Column("sticker_diameter_mm", sa.Float(), nullable=True),
        sa.Column("draft", sa.JSON(), nullable=False),
        sa.Column("began_at", sa.DateTime(), nullable=False),
        sa.Column("finished_at", sa.DateTime(), nullable=True),
        sa.Column("removed_at", sa.DateTime(), nullable=True),
        sa.CheckConstraint(
            "sticker_diameter_mm IS NULL OR sticker_diameter_mm > 0", name=op.f("ck_visit_sticker")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_visit_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visit")),
    )
    op.create_index(op.f("ix_visit_site_id"), "visit", ["site_id"])


def _answer() -> None:
    op.create_table(
        "answer",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("visit_id", sa.String(length=24), nullable=False),
        sa.Column("question", sa.String(length=60), nullable=False),
        sa.Column("value", sa.String(length=60), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_answer_visit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_answer")),
    )
    op.create_index(op.f("ix_answer_visit_id"), "answer", ["visit_id"])


def _note() -> None:
    op.create_table(
        "note",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("site_id", sa.String(length=24), nullable=False),
        sa.Column("visit_id", sa.String(length=24), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_note_site_id")),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_note_visit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_note")),
    )
    op.create_index(op.f("ix_note_site_id"), "note", ["site_id"])
    op.create_index(op.f("ix_note_visit_id"), "note", ["visit_id"])


def _photo() -> None:
    op.create_table(
        "photo",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("visit_id", sa.String(length=24), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=255), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("taken", sa.String(length=40), nullable=True),
        sa.Column("taken_basis", sa.String(length=40), nullable=False),
        sa.Column("added_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_photo_visit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sa.UniqueConstraint("visit_id", "sha256", name=op.f("uq_photo_visit_id")),
    )
    op.create_index(op.f("ix_photo_sha256"), "photo", ["sha256"])
    op.create_index(op.f("ix_photo_visit_id"), "photo", ["visit_id"])


def _correction() -> None:
    op.create_table(
        "correction",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("photo_id", sa.String(length=24), nullable=False),
        sa.Column("spot_id", sa.String(length=24), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("contour_px", sa.JSON(), nullable=True),
        sa.Column("strokes", sa.JSON(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('corrected', 'accepted', 'rejected', 'automatic')",
            name=op.f("ck_correction_kind"),
        ),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name=op.f("fk_correction_photo_id")),
        sa.ForeignKeyConstraint(["spot_id"], ["spot.id"], name=op.f("fk_correction_spot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_correction")),
    )
    op.create_index(op.f("ix_correction_photo_id"), "correction", ["photo_id"])
    op.create_index(op.f("ix_correction_spot_id"), "correction", ["spot_id"])


def _decision() -> None:
    op.create_table(
        "decision",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("site_id", sa.String(length=24), nullable=False),
        sa.Column("spot_id", sa.String(length=24), nullable=True),
        sa.Column("photo_id", sa.String(length=24), nullable=True),
        sa.Column("decision_id", sa.String(length=24), nullable=True),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("due", sa.String(length=10), nullable=True),
        sa.Column("x", sa.Float(), nullable=True),
        sa.Column("y", sa.Float(), nullable=True),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["decision_id"], ["decision.id"], name=op.f("fk_decision_decision_id")
        ),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name=op.f("fk_decision_photo_id")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_decision_site_id")),
        sa.ForeignKeyConstraint(["spot_id"], ["spot.id"], name=op.f("fk_decision_spot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decision")),
    )
    op.create_index(op.f("ix_decision_decision_id"), "decision", ["decision_id"])
    op.create_index(op.f("ix_decision_photo_id"), "decision", ["photo_id"])
    op.create_index(op.f("ix_decision_site_id"), "decision", ["site_id"])
    op.create_index(op.f("ix_decision_spot_id"), "decision", ["spot_id"])


def _photo_state() -> None:
    op.create_table(
        "photo_state",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("photo_id", sa.String(length=24), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.CheckConstraint(
            "state IN ('used', 'excluded', 'removed')", name=op.f("ck_photo_state_state")
        ),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name=op.f("fk_photo_state_photo_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo_state")),
    )
    op.create_index(op.f("ix_photo_state_photo_id"), "photo_state", ["photo_id"])


def _seed() -> None:
    op.create_table(
        "seed",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("photo_id", sa.String(length=24), nullable=False),
        sa.Column("spot_id", sa.String(length=24), nullable=False),
        sa.Column("x", sa.Float(), nullable=False),
        sa.Column("y", sa.Float(), nullable=False),
        sa.Column("radius", sa.Float(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("radius > 0", name=op.f("ck_seed_radius")),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name=op.f("fk_seed_photo_id")),
        sa.ForeignKeyConstraint(["spot_id"], ["spot.id"], name=op.f("fk_seed_spot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_seed")),
    )
    op.create_index(op.f("ix_seed_photo_id"), "seed", ["photo_id"])
    op.create_index(op.f("ix_seed_spot_id"), "seed", ["spot_id"])


def _run() -> None:
    op.create_table(
        "run",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("photo_id", sa.String(length=24), nullable=False),
        sa.Column("spot_id", sa.String(length=24), nullable=False),
        sa.Column("seed_id", sa.String(length=24), nullable=True),
        sa.Column("correction_id", sa.String(length=24), nullable=True),
        sa.Column("first_photo_id", sa.String(length=24), nullable=True),
        sa.Column("version", sa.String(length=40), nullable=False),
        sa.Column("settings_digest", sa.String(length=12), nullable=False),
        sa.Column("settings", sa.JSON(), nullable=False),
        sa.Column("reading", sa.JSON(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["correction_id"], ["correction.id"], name=op.f("fk_run_correction_id")
        ),
        sa.ForeignKeyConstraint(
            ["first_photo_id"], ["photo.id"], name=op.f("fk_run_first_photo_id")
        ),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name=op.f("fk_run_photo_id")),
        sa.ForeignKeyConstraint(["seed_id"], ["seed.id"], name=op.f("fk_run_seed_id")),
        sa.ForeignKeyConstraint(["spot_id"], ["spot.id"], name=op.f("fk_run_spot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run")),
    )
    op.create_index(op.f("ix_run_correction_id"), "run", ["correction_id"])
    op.create_index(op.f("ix_run_first_photo_id"), "run", ["first_photo_id"])
    op.create_index(op.f("ix_run_photo_id"), "run", ["photo_id"])
    op.create_index(op.f("ix_run_seed_id"), "run", ["seed_id"])
    op.create_index(op.f("ix_run_spot_id"), "run", ["spot_id"])
