"""The command line and a real CalDAV server, each with data of its own."""

import shutil

import pytest

from finplan.calendars.account import PASSWORD_VARIABLE
from finplan.cli.app import main
from tests.calendars.radicale_server import PASSWORD, Radicale
from tests.cli.conftest import Answer

NOW = "2026-10-05T15:00:00Z"
DATA = "shop.sqlite"


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    server = Radicale(tmp_path_factory.mktemp("radicale"))
    yield server
    server.stop()


@pytest.fixture
def radicale(server):
    """The server with nothing on it; it is started once."""
    yield server
    server.empty()


@pytest.fixture(scope="session")
def sample_data(tmp_path_factory):
    """A folder with a database that a sample was loaded into, once."""
    folder = tmp_path_factory.mktemp("sample")
    assert main(["--data", str(folder / DATA), "--now", NOW, "sample", "beech_worktop"]) == 0
    return folder


@pytest.fixture
def finplan(tmp_path, sample_data, monkeypatch, capsys):
    """The command line in this process, on a copy of the sample."""
    for file in sample_data.glob(f"{DATA}*"):
        shutil.copy(file, tmp_path / file.name)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("FINPLAN_DATA", str(tmp_path / DATA))
    monkeypatch.setenv("FINPLAN_NOW", NOW)
    monkeypatch.setenv(PASSWORD_VARIABLE, PASSWORD)
    monkeypatch.chdir(tmp_path)

    def run(*words):
        capsys.readouterr()
        status = main(list(words))
        printed = capsys.readouterr()
        return Answer(status, printed.out, printed.err)

    return run
