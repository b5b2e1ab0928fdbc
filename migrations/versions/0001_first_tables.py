"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    documents("workshop")
    documents("finish")
    op.create_table(
        "project",
        text("uid", primary_key=True),
        text("name", unique=True),
        sa.Column(
            "workshop", sa.String(), sa.ForeignKey("workshop.name"), nullable=False, index=True
        ),
        sa.Column("version", sa.Integer(), nullable=False),
        text("document"),
    )
    op.create_table(
        "journal",
        text("project_uid", primary_key=True),
        sa.Column("number", sa.Integer(), primary_key=True, autoincrement=False),
        text("uid", unique=True),
        text("document"),
        text("digest"),
    )
    op.create_table(
        "air",
        text("workshop", primary_key=True),
        text("space", primary_key=True),
        text("kind", primary_key=True),
        sa.Column("at_s", sa.Float(), primary_key=True),
        sa.Column("temperature_c", sa.Float(), nullable=False),
        sa.Column("humidity_percent", sa.Float(), nullable=False),
    )
    op.create_table(
        "calendar_item",
        text("uid", primary_key=True),
        sa.Column("project", sa.String(), nullable=False, index=True),
        text("document"),
    )
    op.create_table("setting", text("key", primary_key=True), text("document"))
    op.create_table(
        "learned_reset",
        text("finish", primary_key=True),
        text("space", primary_key=True),
        text("since"),
    )
    change = op.create_table(
        "change",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("number", sa.Integer(), nullable=False),
    )
    op.bulk_insert(change, [{"id": 1, "number": 0}])
    for statement in APPEND_ONLY[op.get_bind().dialect.name]:
        op.execute(statement)


def documents(table: str) -> None:
    op.create_table(
        table,
        text("name", primary_key=True),
        sa.Column("version", sa.Integer(), nullable=False),
        text("document"),
    )


def text(name: str, **options) -> sa.Column:
    return sa.Column(name, sa.String(), nullable=False, **options)


APPEND_ONLY = {
    "sqlite": [
        "CREATE TRIGGER journal_never_updated BEFORE UPDATE ON journal "
        "BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END",
        "CREATE TRIGGER journal_never_deleted BEFORE DELETE ON journal "
        "BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END",
        # INSERT OR REPLACE deletes without asking the delete trigger.
        "CREATE TRIGGER journal_never_replaced BEFORE INSERT ON journal WHEN EXISTS ("
        "SELECT 1 FROM journal WHERE uid = NEW.uid "
        "OR (project_uid = NEW.project_uid AND number = NEW.number)) "
        "BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END",
    ],
    "postgresql": [
        "CREATE FUNCTION refuse_journal_change() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "BEGIN RAISE EXCEPTION 'the journal is append-only'; END $$",
        "CREATE TRIGGER journal_never_changed BEFORE UPDATE OR DELETE ON journal "
        "FOR EACH ROW EXECUTE FUNCTION refuse_journal_change()",
        "CREATE TRIGGER journal_never_truncated BEFORE TRUNCATE ON journal "
        "FOR EACH STATEMENT EXECUTE FUNCTION refuse_journal_change()",
    ],
}
