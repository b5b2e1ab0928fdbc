"""The help, what it loads, and the program run as a process of its own."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys

import click
import pytest

from finplan import __version__
from finplan.cli.app import VERBS, main, root
from finplan.cli.examples import EXAMPLES

HEAVY = ("textual", "rich", "sqlmodel", "sqlalchemy", "alembic", "icalendar", "numpy", "pint")
HEAVY_TOO = ("ortools", "psycopg", "tomlkit", "matplotlib", "platformdirs", "dateutil")


def every_command():
    """Yield the words of each verb and of the verbs below it."""
    context = click.Context(root)
    for name in VERBS:
        command = root.get_command(context, name)
        yield (name,), command
        if isinstance(command, click.Group):
            for below, inner in command.commands.items():
                yield (name, below), inner


@pytest.mark.parametrize(
    ("words", "command"),
    every_command(),
    ids=lambda value: "-".join(value)[:40] if isinstance(value, tuple) else "",
)
def test_every_verb_explains_itself(words, command, capsys):
    assert command is not None
    assert main([*words, "--help"]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith(f"Usage: finplan {' '.join(words)}")
    assert command.help and command.help.strip()
    for option in command.params:
        if isinstance(option, click.Option):
            assert option.help, option.name
    assert max(map(len, printed.splitlines())) <= 80


@pytest.mark.parametrize(
    ("words", "command"),
    every_command(),
    ids=lambda value: "-".join(value)[:40] if isinstance(value, tuple) else "",
)
def test_every_verb_s_examples_can_be_written_so(words, command):
    assert EXAMPLES[" ".join(words)]
    for example in EXAMPLES[" ".join(words)]:
        given = shlex.split(example)
        assert given[: len(words)] == list(words)
        command.make_context(" ".join(words), given[len(words) :], parent=click.Context(root))


def test_a_verb_that_needs_another_explains_itself(empty):
    assert empty.right("record").out == empty.right("record", "--help").out


def test_the_shared_options_stand_before_the_verb_or_after_it(shell):
    after = shell("plan", "bench", "--json", "--now", "2026-10-06T17:00+02:00")
    assert after.json["now"] == "2026-10-06T15:00:00Z"


def test_the_environment_is_heard_and_overruled(empty, monkeypatch):
    monkeypatch.setenv("FINPLAN_UNITS", "imperial")
    assert "°F" in empty.right("air", "--temp", "70F", "--rh", "50").out
    metric = empty.right("air", "--temp", "21C", "--rh", "50", "--units", "metric")
    assert "°C" in metric.out
    monkeypatch.setenv("FINPLAN_UNITS", "cubits")
    assert empty("air", "--temp", "21C", "--rh", "50").status == 2


def run(words, tmp_path, **environment):
    return subprocess.run(
        [sys.executable, *words],
        capture_output=True,
        text=True,
        env={**os.environ, "FINPLAN_DATA": str(tmp_path / "own.db"), **environment},
        timeout=120,
        check=False,
    )


def test_help_loads_none_of_the_heavy_libraries(tmp_path):
    code = (
        "import sys; from finplan.cli.app import main; status = main(['--help']); "
        f"loaded = [name for name in {HEAVY + HEAVY_TOO!r} if name in sys.modules]; "
        "print(loaded, file=sys.stderr); sys.exit(status)"
    )
    done = run(["-c", code], tmp_path)
    assert (done.returncode, done.stderr) == (0, "[]\n")
    for name in VERBS:
        assert f"\n  {name} " in done.stdout


def test_a_plan_loads_neither_terminal_nor_solver(tmp_path):
    code = (
        "import sys; from finplan.cli.app import main; status = main(['sample', 'oak_door']); "
        "heavy = ('textual', 'ortools', 'icalendar', 'multiprocessing'); "
        "loaded = [name for name in heavy if name in sys.modules]; "
        "print(loaded, file=sys.stderr); sys.exit(status)"
    )
    done = run(["-c", code], tmp_path)
    assert (done.returncode, done.stderr) == (0, "[]\n"), done.stderr


def test_the_main_job_end_to_end(tmp_path):
    finplan = ["-m", "finplan"]
    made = run([*finplan, "sample", "locust_bench"], tmp_path)
    assert (made.returncode, made.stderr) == (0, "")
    assert made.stdout.startswith("Sample locust_bench loaded.\n")
    assert "as of the sample's own date, Mon 5 Oct 2026 17:00" in made.stdout
    again = run([*finplan, "sample", "locust_bench"], tmp_path)
    assert again.stdout.startswith("Sample locust_bench is there already, unchanged.\n")
    assert again.stdout.partition("\n")[2] == made.stdout.partition("\n")[2]
    calendar = tmp_path / "bench.ics"
    now = {"FINPLAN_NOW": "2026-10-05T17:00:00+02:00"}
    sent = run([*finplan, "calendar", "locust_bench", "-o", str(calendar)], tmp_path, **now)
    assert (sent.returncode, sent.stderr) == (0, "")
    assert calendar.read_bytes().endswith(b"END:VCALENDAR\r\n")


def test_nothing_is_drawn_where_there_is_no_terminal(tmp_path):
    done = run(["-m", "finplan"], tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "needs a terminal" in done.stderr


def test_a_reader_that_goes_away_is_no_failure(tmp_path):
    code = (
        "import subprocess, sys; finplan = subprocess.Popen([sys.executable, '-m', 'finplan', "
        "'finishes'], stdout=subprocess.PIPE, stderr=subprocess.PIPE); finplan.stdout.close(); "
        "told = finplan.stderr.read(); sys.exit(finplan.wait() or bool(told))"
    )
    assert run(["-c", code], tmp_path).returncode == 0


def test_a_failure_of_the_program_is_one_sentence_too(shell, monkeypatch):
    import finplan.services.planned

    def broken(*_args, **_more):
        raise ZeroDivisionError("a fault\nof ours")

    monkeypatch.setattr(finplan.services.planned, "planned", broken)
    answer = shell("plan", "bench")
    assert (answer.status, answer.out) == (1, "")
    assert answer.err.count("\n") == 1
    assert "ZeroDivisionError" in answer.err and "FINPLAN_DEBUG" in answer.err
    monkeypatch.setenv("FINPLAN_DEBUG", "1")
    assert "Traceback" in shell("plan", "bench").err


def test_the_version(capsys):
    assert main(["--version"]) == 0
    assert __version__ in capsys.readouterr().out
