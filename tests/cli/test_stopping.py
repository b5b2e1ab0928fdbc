"""Ctrl-C in the middle of a long search keeps the best plan so far and leaves no process behind."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.conftest import BENCH, NOW

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/task").is_dir(), reason="processes are looked up in /proc"
)

BATCHES = "".join(
    f'''
[[batches]]
name = "batch {number}"
parts = ["slat {number}"]
space = "shed"

[batches.schedule]
template = "{template}"
'''
    for number in range(16)
    for template in [("varnished door", "oiled worktop")[number % 2]]
)

PARTS = "name,quantity,length (mm),width (mm),thickness (mm),wood,hole diameter (mm),holes\n"
PARTS += "".join(f"slat {number},8,600,51,22,black locust,,\n" for number in range(16))


@pytest.fixture
def data(tmp_path):
    """A shop with more to plan than a search gets through in a minute."""
    project = tmp_path / "bench.toml"
    start = BENCH.index("[[batches]]")
    project.write_text(BENCH[:start] + BATCHES)
    (tmp_path / "cut_list.csv").write_text(PARTS)
    data = tmp_path / "shop.db"
    load = finplan(data, "load", str(project))
    assert load.wait(120) == 0, load.stderr.read()
    return data


def finplan(data, *words):
    return subprocess.Popen(
        [sys.executable, "-m", "finplan", "--data", str(data), "--now", NOW, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def solving_child(pid):
    """The child process in which the solver works, once it has started to."""
    until = time.monotonic() + 90
    while time.monotonic() < until:
        for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
            words = Path(f"/proc/{child}/cmdline").read_bytes().split(b"\0")
            loaded = Path(f"/proc/{child}/maps").read_text()
            if b"spawn_main" in b" ".join(words) and "ortools" in loaded:
                return int(child)
        time.sleep(0.05)
    raise AssertionError("no child process took up the search")


def is_there(pid):
    try:
        return "Z" not in Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except OSError:
        return False


def test_ctrl_c_prints_the_best_plan_so_far_and_ends_the_child(data):
    before, _ = finplan(data, "plan", "bench", "--json").communicate(timeout=120)
    search = finplan(data, "plan", "bench", "--seconds", "40", "--json")
    child = solving_child(search.pid)
    os.killpg(search.pid, signal.SIGINT)  # as a terminal does: to parent and child
    out, err = search.communicate(timeout=60)
    assert search.returncode == 0
    assert err == "stopped: this is the best plan so far\n"
    assert json.loads(out)["ready"] <= json.loads(before)["ready"]
    assert not is_there(child)


def test_no_child_outlives_a_parent_that_is_killed(data):
    search = finplan(data, "plan", "bench", "--seconds", "40")
    child = solving_child(search.pid)
    os.kill(search.pid, signal.SIGKILL)
    search.communicate(timeout=30)
    until = time.monotonic() + 20
    while is_there(child) and time.monotonic() < until:
        time.sleep(0.05)
    assert not is_there(child)
