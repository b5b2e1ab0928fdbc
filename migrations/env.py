"""Run migrations on the connection finplan hands over, or on FINPLAN_DATA when used by hand."""

from __future__ import annotations

from alembic import context

from finplan.store.tables import metadata


def run(connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=metadata,
        render_as_batch=True,
        compare_type=True,
    )
    with context.begin_transaction():
        context.run_migrations()


handed_over = context.config.attributes.get("connection")
if handed_over is not None:
    run(handed_over)
else:
    from finplan.store.engine import make_engine
    from finplan.store.location import locate

    with make_engine(locate()).begin() as by_hand:
        run(by_hand)
