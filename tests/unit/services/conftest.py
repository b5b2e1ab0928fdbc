"""A session on a database with the small bench in it."""

from __future__ import annotations

import shutil
from contextlib import ExitStack

import pytest

from finplan.services.projects import load_file
from finplan.services.session import open_session
from tests.cli.conftest import BENCH, CUT_LIST, NOW

DATA = "data.db"


@pytest.fixture
def at(tmp_path, monkeypatch):
    """A function that opens a session at a moment."""
    monkeypatch.delenv("FINPLAN_DATA", raising=False)
    with ExitStack() as stack:

        def opened(now=NOW):
            data = str(tmp_path / DATA)
            return stack.enter_context(open_session(data, now))

        yield opened


@pytest.fixture(scope="session")
def loaded(tmp_path_factory):
    """A folder with the bench's files and a database it was loaded into, once."""
    folder = tmp_path_factory.mktemp("loaded")
    (folder / "cut_list.csv").write_text(CUT_LIST)
    (folder / "bench.toml").write_text(BENCH)
    with open_session(str(folder / DATA), NOW) as opened:
        load_file(opened, folder / "bench.toml")
    return folder


@pytest.fixture
def session(at, tmp_path, loaded):
    for file in loaded.iterdir():
        shutil.copy(file, tmp_path / file.name)
    return at()
