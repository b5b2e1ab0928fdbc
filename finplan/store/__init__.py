"""The database: tables, engine, migrations, backup.

``finplan.store.store.open_store`` is the way in; importing this package alone loads nothing.
"""
