"""What the keeper wants to know of a site."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """One table more."""
    op.create_table(
        "concern",
        sa.Column("id", sa.String(length=24), nullable=False),
        sa.Column("site_id", sa.String(length=24), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_concern_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_concern")),
    )
    op.create_index(op.f("ix_concern_site_id"), "concern", ["site_id"])
