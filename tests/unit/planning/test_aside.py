"""A child process beside the program, wherever the program's own errors go."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import finplan
from finplan.planning import aside

ON_A_SCREEN = """
import os, sys
from finplan.planning.aside import start_aside

class Screen:
    def write(self, text): pass
    def flush(self): pass
    def fileno(self): return -1

if __name__ == "__main__":
    sys.stderr = Screen()
    child, line = start_aside(os.close)
    child.kill()
    child.join()
    assert isinstance(sys.stderr, Screen)
    print("started")
"""


def test_a_child_starts_while_errors_go_to_a_screen_that_is_no_file(tmp_path):
    script = tmp_path / "on_a_screen.py"
    script.write_text(ON_A_SCREEN)
    ran = subprocess.run(
        [sys.executable, str(script)],
        env=os.environ | {"PYTHONPATH": str(Path(finplan.__file__).parents[1])},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (ran.returncode, ran.stdout) == (0, "started\n"), ran.stderr


@pytest.mark.parametrize("fault", [None, AttributeError("DataFrame"), ImportError("testing")])
def test_a_solver_that_wants_more_of_the_table_library_gets_the_library(fault, monkeypatch):
    def load(name):
        assert name == "ortools.sat.python.cp_model"
        assert sys.modules["pandas"].Series is not None
        if fault is not None:
            raise fault

    monkeypatch.setattr(aside, "import_module", load)
    monkeypatch.delitem(sys.modules, "pandas", raising=False)
    aside.load_solver()
    assert ("pandas" in sys.modules) is (fault is None)
    sys.modules.pop("pandas", None)
