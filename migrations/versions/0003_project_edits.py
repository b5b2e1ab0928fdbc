"""Edits of projects, so that they can be taken back."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "project_edit",
        text("project_uid", primary_key=True),
        sa.Column("number", sa.Integer(), primary_key=True, autoincrement=False),
        text("at"),
        text("undone"),
        text("document"),
    )


def text(name: str, **options) -> sa.Column:
    return sa.Column(name, sa.String(), nullable=False, **options)
