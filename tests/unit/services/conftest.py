"""A session on a database with the small bench in it."""

from __future__ import annotations

from contextlib import ExitStack

import pytest

from finplan.services.projects import load_file
from finplan.services.session import open_session
from tests.cli.conftest import BENCH, CUT_LIST, NOW


@pytest.fixture
def at(tmp_path, monkeypatch):
    """A function that opens a session at a moment."""
    monkeypatch.delenv("FINPLAN_DATA", raising=False)
    with ExitStack() as stack:

        def opened(now=NOW):
            data = str(tmp_path / "data.db")
            return stack.enter_context(open_session(data, now))

        yield opened


@pytest.fixture
def session(at, tmp_path):
    (tmp_path / "cut_list.csv").write_text(CUT_LIST)
    (tmp_path / "bench.toml").write_text(BENCH)
    opened = at()
    load_file(opened, tmp_path / "bench.toml")
    return opened
