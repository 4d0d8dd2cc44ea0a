"""Where the cat lives, when it is out, and answers given in practice."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Three tables more."""
    op.create_table(
        "place",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("latitude", sa.Float(), nullable=False),
        sa.Column("longitude", sa.Float(), nullable=False),
        sa.Column("zone", sa.String(length=60), nullable=False),
        sa.Column("altitude_m", sa.Float(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("latitude BETWEEN -90 AND 90", name=op.f("ck_place_latitude")),
        sa.CheckConstraint("longitude BETWEEN -180 AND 180", name=op.f("ck_place_longitude")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_place")),
    )
    op.create_table(
        "outing",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("cat_id", sa.String(length=24), nullable=False),
        sa.Column("spans", sa.JSON(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["cat_id"], ["cat.id"], name=op.f("fk_outing_cat_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outing")),
    )
    op.create_index(op.f("ix_outing_cat_id"), "outing", ["cat_id"])
    op.create_table(
        "practice",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("item", sa.String(length=20), nullable=False),
        sa.Column("said", sa.String(length=40), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_practice")),
    )
    op.create_index(op.f("ix_practice_item"), "practice", ["item"])
