"""The command line run in this process, on a database of its own."""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from finplan.cli.app import main

NOW = "2026-10-05T17:00:00+02:00"
PROJECT = "bench"

CUT_LIST = """\
name,quantity,length (mm),width (mm),thickness (mm),wood,hole diameter (mm),holes
slat,8,600,51,22,black locust,5,4
leg,4,430,60,60,black locust,,
"""

UPKEEP_NOW = "2026-11-25T12:00:00Z"
INSTALL_STEPS = (
    "install", "steps", "--finish", "penetrating oil", "--area", "2.4 m2", "--place", "boathouse",
    "--installed", "2026-04-01", "--exposed", "flat", "--taken-up", "four screws from below",
    "--zone", "Europe/Oslo",
)  # fmt: skip

BENCH = """\
[project]
name = "bench"
title = "Small bench"
uid = "11111111-2222-4333-8444-555555555555"
cut_list = "cut_list.csv"
in_service_by = 2026-12-20
invented = true

[workshop]
name = "shed"
zone = "Europe/Vienna"

[[workshop.people]]
name = "Maker"
windows = [
    { rule = "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", start = 18:30:00, minutes = 180 },
    { rule = "FREQ=WEEKLY;BYDAY=SA", start = 08:00:00, minutes = 540 },
]

[[workshop.spaces]]
name = "shed"
rack_area_m2 = 3.0

[workshop.spaces.normals]
mean_c = [18, 18, 18, 18, 18, 18, 18, 18, 18, 18, 18, 18]
daily_swing_c = [2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2]
mean_rh_percent = [55, 55, 55, 55, 55, 55, 55, 55, 55, 55, 55, 55]
source = "invented"

[[batches]]
name = "pieces"
parts = ["slat", "leg"]
space = "shed"

[batches.schedule]
template = "oiled outdoor bench"
coats = 2
"""


@dataclass(frozen=True)
class Answer:
    """What a call printed and returned."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def words(self) -> str:
        """What was printed, however it was wrapped."""
        return " ".join(self.out.split())


@dataclass
class Shell:
    """A person at the command line; ``folder`` is where files are, ``data`` the database."""

    folder: Path
    data: Path
    capture: pytest.CaptureFixture[str]
    now: str | None = NOW

    def __call__(self, *words: str, now: str | None = None) -> Answer:
        self.capture.readouterr()
        moment = now or self.now
        shared = ["--data", str(self.data), *(["--now", moment] if moment else [])]
        status = main([*shared, *map(str, words)])
        printed = self.capture.readouterr()
        return Answer(status, printed.out, printed.err)

    def right(self, *words: str, now: str | None = None) -> Answer:
        """Run what must succeed."""
        answer = self(*words, now=now)
        assert (answer.status, answer.err) == (0, ""), answer
        return answer

    def file(self, name: str, text: str | bytes) -> str:
        """Write a file and return its path."""
        path = self.folder / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return str(path)


@pytest.fixture(autouse=True)
def own_environment(monkeypatch, tmp_path):
    """Nothing of the user's own is read or written."""
    for name in ("DATA", "NOW", "UNITS", "ZONE", "DEBUG"):
        monkeypatch.delenv(f"FINPLAN_{name}", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("NO_COLOR", "1")


@pytest.fixture(scope="session")
def made_data(tmp_path_factory) -> Path:
    """A database with the bench in it, made once."""
    folder = tmp_path_factory.mktemp("made")
    (folder / "cut_list.csv").write_text(CUT_LIST)
    (folder / "bench.toml").write_text(BENCH)
    data = folder / "made.db"
    assert main(["--data", str(data), "--now", NOW, "load", str(folder / "bench.toml")]) == 0
    return data


@pytest.fixture
def empty(tmp_path, capsys) -> Shell:
    """A shell on a database that is not there yet."""
    (tmp_path / "cut_list.csv").write_text(CUT_LIST)
    return Shell(tmp_path, tmp_path / "data.db", capsys)


@pytest.fixture
def shell(empty, made_data) -> Shell:
    """A shell on a database with the bench in it."""
    for companion in made_data.parent.glob("made.db*"):
        shutil.copy(companion, empty.folder / companion.name.replace("made", "data"))
    return empty


@pytest.fixture
def installed(empty):
    """A store with one piece in use."""
    empty.now = UPKEEP_NOW
    empty.right(*INSTALL_STEPS)
    return empty
