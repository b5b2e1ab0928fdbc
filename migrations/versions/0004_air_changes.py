"""What was kept of the air, so that it can be taken back."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "air_change",
        text("workshop", primary_key=True),
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
        "CREATE TRIGGER air_change_never_updated BEFORE UPDATE ON air_change "
        "BEGIN SELECT RAISE(ABORT, 'the air log is append-only'); END",
        "CREATE TRIGGER air_change_never_deleted BEFORE DELETE ON air_change "
        "BEGIN SELECT RAISE(ABORT, 'the air log is append-only'); END",
        # INSERT OR REPLACE deletes without asking the delete trigger.
        "CREATE TRIGGER air_change_never_replaced BEFORE INSERT ON air_change WHEN EXISTS ("
        "SELECT 1 FROM air_change WHERE uid = NEW.uid "
        "OR (workshop = NEW.workshop AND number = NEW.number)) "
        "BEGIN SELECT RAISE(ABORT, 'the air log is append-only'); END",
    ],
    # The function is the journal's, made by the first revision.
    "postgresql": [
        "CREATE TRIGGER air_change_never_changed BEFORE UPDATE OR DELETE ON air_change "
        "FOR EACH ROW EXECUTE FUNCTION refuse_journal_change()",
        "CREATE TRIGGER air_change_never_truncated BEFORE TRUNCATE ON air_change "
        "FOR EACH STATEMENT EXECUTE FUNCTION refuse_journal_change()",
    ],
}
