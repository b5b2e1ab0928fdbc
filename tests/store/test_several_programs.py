"""Several programs at once, and one that dies in the middle of writing."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from finplan.store.backup import check
from finplan.store.store import open_store

ROOT = Path(__file__).parents[2]
WRITER = """
import datetime as dt, sys, uuid
from finplan.journal.entries import Entry, EntryKind
from finplan.store.store import open_store

place, name, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
at = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)
with open_store(place) as store:
    print("ready", flush=True)
    sys.stdin.readline()
    for number in range(count):
        with store.unit() as unit:
            before = unit.settings.get("count", 0)
            uid = uuid.uuid5(uuid.NAMESPACE_OID, f"{name} {number}")
            entry = Entry(uid, "boathouse-bench", EntryKind.NOTE, at, at, by=name)
            unit.journal.append([entry])
            unit.settings.put("count", before + 1)
            unit.commit()
        print(number, flush=True)
"""


def start(data, name, count):
    child = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(data), name, str(count)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True, cwd=ROOT,
    )  # fmt: skip
    assert child.stdout.readline() == "ready\n", child.stderr.read()
    return child


def go(child):
    child.stdin.write("go\n")
    child.stdin.flush()


def test_two_programs_write_at_once_and_nothing_is_lost(data, stocked, project):
    children = [start(data, name, 25) for name in ("one", "two")]
    for child in children:
        go(child)
    for child in children:
        _, told = child.communicate(timeout=60)
        assert child.returncode == 0, told
    with stocked.unit(writes=False) as unit:
        entries = unit.journal.of(project.name)
        assert len(entries) == 50
        assert {entry.by for entry in entries} == {"one", "two"}
        assert unit.settings.get("count") == 50
    assert check(stocked) == ()


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
@pytest.mark.parametrize("written_before_it_dies", [0, 3, 17])
def test_a_program_killed_while_writing_leaves_a_good_database(
    data, stocked, project, written_before_it_dies
):
    child = start(data, "doomed", 100_000)
    go(child)
    for _ in range(written_before_it_dies + 1):
        child.stdout.readline()
    child.send_signal(signal.SIGKILL)
    told = child.stdout.read()  # not communicate(): lines read ahead would be lost
    child.communicate(timeout=60)
    committed = written_before_it_dies + 1 + len(told.split())
    time.sleep(0.05)
    with open_store(data) as again:
        assert check(again) == ()
        with again.unit() as unit:  # and it can be written on at once
            kept = len(unit.journal.of(project.name))
            assert unit.settings.get("count") == kept, "a unit of work is whole or not at all"
            assert committed <= kept <= committed + 1
            unit.settings.put("after", True)
            unit.commit()
