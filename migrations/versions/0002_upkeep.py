"""Installed pieces and the log of their upkeep."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "installed_piece",
        text("uid", primary_key=True),
        text("name", unique=True),
        sa.Column("version", sa.Integer(), nullable=False),
        text("document"),
    )
    op.create_table(
        "upkeep_log",
        text("piece_uid", primary_key=True),
        sa.Column("number", sa.Integer(), primary_key=True, autoincrement=False),
        text("uid", unique=True),
        text("document"),
        text("digest"),
    )
    for statement in APPEND_ONLY[op.get_bind().dialect.name]:
        op.execute(statement)


def text(name: str, **options) -> sa.Column:
    return sa.Column(name, sa.String(), nullable=False, **options)


APPEND_ONLY = {
    "sqlite": [
        "CREATE TRIGGER upkeep_never_updated BEFORE UPDATE ON upkeep_log "
        "BEGIN SELECT RAISE(ABORT, 'the upkeep log is append-only'); END",
        "CREATE TRIGGER upkeep_never_deleted BEFORE DELETE ON upkeep_log "
        "BEGIN SELECT RAISE(ABORT, 'the upkeep log is append-only'); END",
        # INSERT OR REPLACE deletes without asking the delete trigger.
        "CREATE TRIGGER upkeep_never_replaced BEFORE INSERT ON upkeep_log WHEN EXISTS ("
        "SELECT 1 FROM upkeep_log WHERE uid = NEW.uid "
        "OR (piece_uid = NEW.piece_uid AND number = NEW.number)) "
        "BEGIN SELECT RAISE(ABORT, 'the upkeep log is append-only'); END",
    ],
    # The function is the journal's, made by the first revision.
    "postgresql": [
        "CREATE TRIGGER upkeep_never_changed BEFORE UPDATE OR DELETE ON upkeep_log "
        "FOR EACH ROW EXECUTE FUNCTION refuse_journal_change()",
        "CREATE TRIGGER upkeep_never_truncated BEFORE TRUNCATE ON upkeep_log "
        "FOR EACH STATEMENT EXECUTE FUNCTION refuse_journal_change()",
    ],
}
