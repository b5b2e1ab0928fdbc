"""The house keeps its order: imports point down, pure rooms are pure, starting is light."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "finplan"
PURE_ROOMS = ("trade", "air", "drying", "journal", "planning", "tracking")
HEAVY = (
    "textual", "rich", "sqlmodel", "sqlalchemy", "alembic", "icalendar", "numpy", "pint",
    "ortools", "tomlkit", "psycopg", "matplotlib", "dateutil",
)  # fmt: skip
LONGEST_FILE = 400


def modules():
    return sorted(PACKAGE.rglob("*.py"))


def named(file):
    return str(file.relative_to(ROOT))


def loaded_by(program, *arguments):
    """Return which heavy libraries a run of finplan has loaded at its end."""
    told = subprocess.run(
        [sys.executable, "-c", f"{program}\nprint('loaded:', *sorted(sys.modules))", *arguments],
        capture_output=True, text=True, cwd=ROOT, timeout=60,
    )  # fmt: skip
    assert told.returncode == 0, told.stderr
    last = told.stdout.splitlines()[-1]
    assert last.startswith("loaded: ")
    return {name.split(".")[0] for name in last.split()} & set(HEAVY)


RUN = (
    "import sys\nfrom finplan.__main__ import main\n"
    "try:\n    main()\nexcept SystemExit as end:\n    assert not end.code, end.code"
)


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["plan", "--help"]])
def test_asking_for_help_loads_nothing_heavy(arguments):
    assert loaded_by(RUN, *arguments) == set()


@pytest.mark.parametrize("room", ["trade", "journal", "store", "files"])
def test_the_rooms_themselves_load_nothing_heavy(room):
    assert loaded_by(f"import sys\nimport finplan.{room}") == set()


def test_reading_commands_load_neither_the_interface_nor_the_solver(tmp_path):
    place = str(tmp_path / "finplan.db")
    loaded = loaded_by(RUN, "--data", place, "projects")
    assert not loaded & {"textual", "ortools", "icalendar", "matplotlib"}


def test_imports_point_down_only():
    told = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as run; run()",
         "--no-cache"],
        capture_output=True, text=True, cwd=ROOT, timeout=120,
    )  # fmt: skip
    assert told.returncode == 0, told.stdout + told.stderr
    assert "0 broken" in told.stdout


def test_every_room_has_its_place_in_the_contract():
    rules = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    (layers,) = [
        contract["layers"]
        for contract in rules["tool"]["importlinter"]["contracts"]
        if contract["type"] == "layers"
    ]
    placed = {room.strip() for layer in layers for room in layer.split("|")}
    rooms = {f"finplan.{file.parent.name}" for file in PACKAGE.glob("*/__init__.py")}
    assert placed - {"finplan.__main__"} == rooms


CLOCKS = {"now", "utcnow", "today", "time", "time_ns", "localtime", "gmtime"}
OUTSIDE = {"open", "input", "print"}


def impure(tree):
    """What in a module asks the clock, the disk or chance; a stopwatch is no clock."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import | ast.ImportFrom):
            names = [alias.name for alias in node.names]
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                if name.split(".")[0] in {"random", "secrets", "socket"}:
                    yield f"line {node.lineno} imports {name}"
        if not isinstance(node, ast.Call):
            continue
        called = node.func
        if isinstance(called, ast.Name) and called.id in OUTSIDE:
            yield f"line {node.lineno} calls {called.id}()"
        if (
            isinstance(called, ast.Attribute)
            and called.attr in CLOCKS
            and isinstance(called.value, ast.Name | ast.Attribute)
            and ast.unparse(called.value) in {"dt.datetime", "dt.date", "datetime", "date", "time"}
        ):
            yield f"line {node.lineno} asks the clock: {ast.unparse(called)}()"
        if isinstance(called, ast.Attribute) and called.attr in {"uuid1", "uuid4", "urandom"}:
            yield f"line {node.lineno} draws at random: {ast.unparse(called)}()"


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_pure_rooms_ask_neither_clock_nor_disk_nor_chance(room):
    found = {
        named(file): faults
        for file in sorted((PACKAGE / room).rglob("*.py"))
        if (faults := list(impure(ast.parse(file.read_text(encoding="utf-8")))))
    }
    assert found == {}


def test_the_search_for_impurity_finds_what_it_should():
    tree = ast.parse(
        "import random\nimport datetime as dt\nx = dt.datetime.now()\nopen('f')\nuuid.uuid4()\n"
        "time.time()\ntime.monotonic()"
    )
    assert len(list(impure(tree))) == 5


def test_no_file_grows_too_long():
    long = {
        named(file): lines
        for file in modules()
        if (lines := len(file.read_text(encoding="utf-8").splitlines())) > LONGEST_FILE
    }
    assert long == {}


def test_every_module_says_what_it_is_for():
    silent = [
        named(file)
        for file in modules()
        if not ast.get_docstring(ast.parse(file.read_text(encoding="utf-8")))
    ]
    assert silent == []


def test_test_files_have_names_of_their_own():
    names = [file.name for file in (ROOT / "tests").rglob("test_*.py")]
    assert sorted(names) == sorted(set(names))
