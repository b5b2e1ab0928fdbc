"""Migrations: they make exactly the tables the program knows, from every older shape."""

from __future__ import annotations

import ast
import datetime as dt
import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from sqlalchemy import text

from finplan.store import migrate
from finplan.store.base import metadata
from finplan.store.migrate import HEAD, migrations_folder, version_of
from finplan.store.store import open_store
from finplan.trade.errors import BadInput

ROOT = Path(__file__).parents[2]
NOW = dt.datetime(2026, 11, 25, 14, 0, tzinfo=dt.UTC)


def revisions():
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(ROOT / "migrations"))
    return list(ScriptDirectory.from_config(config).walk_revisions())


def test_the_constant_is_the_newest_revision():
    newest, *older = revisions()
    assert newest.revision == HEAD
    assert [one.revision for one in (newest, *older)] == [
        f"{number:04}" for number in range(int(HEAD), 0, -1)
    ], "revisions are numbered by hand, without gaps"


def test_files_are_called_by_their_number():
    for revision in revisions():
        assert Path(revision.path).name.startswith(f"{revision.revision}_")


def test_the_tables_are_those_the_program_knows(store):
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_every_constraint_has_a_name():
    import finplan.store.tables  # noqa: F401 - fills the metadata

    for table in metadata.tables.values():
        assert table.primary_key.name == f"pk_{table.name}"
        for foreign in table.foreign_key_constraints:
            assert foreign.name


def test_opening_again_changes_nothing_and_loads_no_alembic(tmp_path):
    place = tmp_path / "finplan.db"
    open_store(place).close()
    program = (
        "import sys; from finplan.store.store import open_store\n"
        "with open_store(sys.argv[1]) as store, store.unit(writes=False) as unit:\n"
        "    unit.projects.list()\n"
        "print('alembic' in sys.modules, 'psycopg' in sys.modules, 'numpy' in sys.modules)"
    )
    told = subprocess.run(
        [sys.executable, "-c", program, str(place)],
        capture_output=True, text=True, check=True, cwd=ROOT,
    ).stdout  # fmt: skip
    assert told.split() == ["False", "False", "False"]
    assert [file.name for file in tmp_path.iterdir()] == ["finplan.db"]


@pytest.fixture
def next_version(tmp_path, monkeypatch):
    """A program one revision ahead, whose migration does what the parameter says."""
    folder = tmp_path / "migrations"
    (folder / "versions").mkdir(parents=True)
    for file in ("env.py", "script.py.mako", *(f"versions/{p.name}" for p in
                 (ROOT / "migrations" / "versions").glob("*.py"))):  # fmt: skip
        (folder / file).write_bytes((ROOT / "migrations" / file).read_bytes())
    ahead = f"{int(HEAD) + 1:04}"

    def write(body):
        (folder / "versions" / f"{ahead}_next.py").write_text(
            "import sqlalchemy as sa\nfrom alembic import op\n"
            f"revision = '{ahead}'\ndown_revision = '{HEAD}'\n"
            f"def upgrade():\n    {body}\n"
        )
        monkeypatch.setattr(migrate, "HEAD", ahead)
        monkeypatch.setattr(migrate, "migrations_folder", lambda: folder)
        return ahead

    return write


def test_an_upgrade_copies_the_database_first(tmp_path, workshop, next_version):
    place = tmp_path / "finplan.db"
    with open_store(place) as store, store.unit() as unit:
        unit.workshops.put(workshop)
        unit.commit()
    ahead = next_version("op.add_column('workshop', sa.Column('extra', sa.String()))")
    with open_store(place, now=NOW) as store:
        assert version_of(store.engine) == ahead
        copy = store.copy_before_upgrade
        with store.unit(writes=False) as unit:
            assert unit.workshops.list() == (workshop,)
    assert copy.name == f"finplan.before-{ahead}.20261125T140000Z.db"
    with sqlite3.connect(copy) as connection:
        (version,) = connection.execute("SELECT version_num FROM alembic_version").fetchone()
        assert version == HEAD
        (count,) = connection.execute("SELECT count(*) FROM workshop").fetchone()
        assert count == 1


def test_an_upgrade_that_fails_half_way_changes_nothing(data, workshop, next_version):
    with open_store(data) as store, store.unit() as unit:
        unit.workshops.put(workshop)
        unit.commit()
    next_version(
        "op.add_column('workshop', sa.Column('extra', sa.String())); "
        "op.create_table('half', sa.Column('id', sa.Integer())); "
        "op.execute('SELECT nothing FROM nowhere')"
    )
    with pytest.raises(Exception, match="nowhere"):
        open_store(data)
    migrate.HEAD = HEAD
    with open_store(data) as store:
        assert version_of(store.engine) == HEAD
        with store.engine.connect() as connection, pytest.raises(Exception, match="half"):
            connection.execute(text("SELECT * FROM half"))


def test_an_upgrade_never_breaks_a_reference(tmp_path, workshop, project, next_version):
    place = tmp_path / "finplan.db"
    with open_store(place) as store, store.unit() as unit:
        unit.workshops.put(workshop)
        unit.projects.put(project)
        unit.commit()
    next_version("op.execute('DELETE FROM workshop')")
    with pytest.raises(BadInput, match="would break a reference: nothing was changed"):
        open_store(place)
    with sqlite3.connect(place) as connection:
        assert connection.execute("SELECT count(*) FROM workshop").fetchone() == (1,)


CREATE = (
    "import sys; from finplan.store.store import open_store\n"
    "sys.stdin.readline()\n"
    "with open_store(sys.argv[1]) as store, store.unit() as unit:\n"
    "    unit.settings.put(sys.argv[2], True); unit.commit()"
)


def test_two_programs_may_create_it_at_once(data):
    children = [
        subprocess.Popen(
            [sys.executable, "-c", CREATE, str(data), f"child {number}"],
            stdin=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT,
        )
        for number in range(3)
    ]  # fmt: skip
    time.sleep(0.5)
    for child in children:
        child.stdin.write("go\n")
        child.stdin.flush()
    for child in children:
        _, told = child.communicate(timeout=60)
        assert child.returncode == 0, told
    with open_store(data) as store, store.unit(writes=False) as unit:
        assert set(unit.settings.all()) == {"child 0", "child 1", "child 2"}


def test_the_developers_command_finds_the_migrations(tmp_path):
    environment = os.environ | {"FINPLAN_DATA": str(tmp_path / "finplan.db"), "PYTHONPATH": "."}
    open_store(tmp_path / "finplan.db").close()
    told = subprocess.run(
        [sys.executable, "-m", "alembic", "current"],
        capture_output=True, text=True, cwd=ROOT, env=environment, timeout=60,
    )  # fmt: skip
    assert told.returncode == 0, told.stderr
    assert told.stdout.startswith(f"{HEAD} (head)")


def test_the_checkouts_migrations_are_used_in_a_checkout():
    assert migrations_folder() == ROOT / "migrations"


def test_no_migration_reads_the_programs_tables():
    """A migration tells what was so when it was written; the program's tables move on."""
    for file in (ROOT / "migrations" / "versions").glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            assert not any(name.split(".")[0] == "finplan" for name in names), file
