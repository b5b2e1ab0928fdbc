"""The database: tables, engine, migrations, backup."""
