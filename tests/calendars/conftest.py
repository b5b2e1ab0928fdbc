"""The command line and a real CalDAV server, each with data of its own."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from finplan.calendars.account import PASSWORD_VARIABLE
from tests.calendars.radicale_server import PASSWORD, Radicale

ROOT = Path(__file__).parents[2]


@pytest.fixture
def radicale(tmp_path):
    server = Radicale(tmp_path)
    yield server
    server.stop()


@pytest.fixture
def finplan(tmp_path):
    environment = os.environ | {
        "HOME": str(tmp_path),
        "PYTHONPATH": str(ROOT),
        "FINPLAN_DATA": str(tmp_path / "shop.sqlite"),
        "FINPLAN_NOW": "2026-10-05T15:00:00Z",
        PASSWORD_VARIABLE: PASSWORD,
    }

    def run(*words):
        return subprocess.run(
            [sys.executable, "-m", "finplan", *words],
            env=environment,
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
        )

    assert run("sample", "beech_worktop").returncode == 0
    return run
