"""A fault nobody foresaw: the terminal is whole, one sentence says where the log is."""

from __future__ import annotations

import subprocess
import sys

import pytest

from finplan.tui import crash
from tests.tui.terminal import ROOT, environment_in, run_on_a_terminal

BROKEN = """
import sys
from finplan.tui.screens.bench import BenchPage

def fail(self):
    raise ZeroDivisionError("a fault made for the test")

BenchPage.on_mount = fail
from finplan.cli.app import main
sys.exit(main(sys.argv[1:]))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo terminal")
@pytest.mark.parametrize("debug", ["", "1"])
def test_a_fault_on_the_screen_leaves_the_terminal_whole(tmp_path, debug):
    environment = environment_in(tmp_path, FINPLAN_DEBUG=debug)
    data = ["--data", str(tmp_path / "shop.db"), "--now", "2026-10-06T17:00Z"]
    program = [sys.executable, "-m", "finplan", *data, "sample", "oak_door"]
    subprocess.run(program, check=True, capture_output=True, env=environment, cwd=ROOT)
    status, told = run_on_a_terminal([sys.executable, "-c", BROKEN, *data], environment)
    left = told.rpartition("\x1b[?1049l")
    assert left[1], "the other screen is left"
    said = " ".join(left[2].split())
    assert status == 1
    assert "finplan: the terminal interface failed (ZeroDivisionError: a fault made" in said
    assert ("Traceback" in said) is bool(debug)
    (log,) = tmp_path.rglob("terminal.log")
    assert "ZeroDivisionError" in log.read_text()
    assert str(log) in said.replace(" ", "")


def test_a_log_that_cannot_be_kept_is_no_second_fault(monkeypatch, tmp_path):
    (tmp_path / "file").write_text("")
    monkeypatch.setattr(crash, "log_path", lambda: tmp_path / "file" / "terminal.log")
    assert crash.keep_log(ValueError("x")) is None
    assert "FINPLAN_DEBUG" in str(crash.TerminalFailed(ValueError("x"), None))
