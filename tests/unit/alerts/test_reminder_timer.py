"""The user's timer: shown first, put in place, found, and taken out without touching the rest."""

import plistlib
import shutil
import subprocess
from pathlib import Path

import pytest

from finplan.alerts.timer import (
    Ran,
    TimerKind,
    install,
    install_plan,
    is_installed,
    remove,
    run_command,
    timer_kind,
)
from finplan.trade.errors import BadInput

COMMAND = ("/opt/my tools/python", "-m", "finplan", "--data", "50 % $HOME's.sqlite", "due")


class Machine:
    """A system whose commands are recorded, with a crontab of its own."""

    def __init__(self, crontab=None, failing=(), missing=()):
        self.crontab, self.failing, self.missing, self.ran = crontab, failing, missing, []

    def __call__(self, command, text):
        self.ran.append(" ".join(command))
        if command[0] in self.missing:
            return Ran(127, "not found")
        if command[0] in self.failing:
            return Ran(1, "no bus\n")
        if tuple(command) == ("crontab", "-l"):
            return Ran(1, "no crontab") if self.crontab is None else Ran(0, self.crontab)
        if tuple(command) == ("crontab", "-"):
            self.crontab = text
        return Ran(0, "")


@pytest.mark.parametrize("kind", TimerKind)
def test_installed_found_and_removed(kind, tmp_path):
    machine = Machine()
    assert not is_installed(kind, tmp_path, machine)
    assert not remove(kind, tmp_path, machine)
    plan = install_plan(kind, COMMAND, tmp_path, machine)
    assert not is_installed(kind, tmp_path, machine), "a plan alone changes nothing"
    install(plan, machine)
    assert is_installed(kind, tmp_path, machine)
    assert remove(kind, tmp_path, machine)
    assert not is_installed(kind, tmp_path, machine)
    assert not [path for path in tmp_path.rglob("*") if path.is_file()]


def test_what_is_shown_is_what_is_done(tmp_path):
    machine = Machine()
    plan = install_plan(TimerKind.SYSTEMD, COMMAND, tmp_path, machine)
    shown = plan.shown()
    install(plan, machine)
    for path, data in plan.files.items():
        assert path.read_bytes() == data
        assert str(path) in shown
        assert data.decode() in shown
    for command in machine.ran:
        assert f"$ {command}" in shown


def test_a_unit_keeps_hostile_words_whole(tmp_path):
    plan = install_plan(TimerKind.SYSTEMD, COMMAND, tmp_path, Machine())
    service = next(data for path, data in plan.files.items() if path.suffix == ".service")
    assert b'"/opt/my tools/python" "-m" "finplan" "--data" "50 %% $$HOME\'s.sqlite"' in service
    timer = next(data for path, data in plan.files.items() if path.suffix == ".timer")
    assert b"Persistent=true" in timer, "what was missed in sleep is asked on waking"


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd-analyze here")
def test_systemd_itself_finds_no_fault_in_the_units(tmp_path):
    plan = install_plan(TimerKind.SYSTEMD, ("/bin/true", "50 % of $x"), tmp_path, Machine())
    install(plan, Machine())
    units = [str(path) for path in plan.files]
    done = subprocess.run(
        ["systemd-analyze", "verify", "--user", *units], capture_output=True, text=True, check=False
    )
    assert not [line for line in done.stderr.splitlines() if "finplan-remind" in line]


def test_cron_keeps_every_other_line_and_is_put_in_once():
    others = "MAILTO=me\n0 4 * * * backup --all"
    machine = Machine(others)
    for _ in range(2):
        install(install_plan(TimerKind.CRON, COMMAND, Path("/none"), machine), machine)
    assert machine.crontab.startswith(f"{others}\n")
    assert machine.crontab.count("*/5 * * * *") == 1
    assert "'50 \\% $HOME'\"'\"'s.sqlite'" in machine.crontab
    remove(TimerKind.CRON, Path("/none"), machine)
    assert machine.crontab == f"{others}\n"


def test_a_crontab_that_cannot_be_read_is_not_taken_for_empty():
    def refused(command, text):
        return Ran(1, "cannot lock the spool\n") if command == ("crontab", "-l") else Ran(0, "")

    with pytest.raises(BadInput, match=r"can't be read \(cannot lock the spool\)"):
        install_plan(TimerKind.CRON, COMMAND, Path("/none"), refused)
    with pytest.raises(BadInput, match="nothing was changed"):
        remove(TimerKind.CRON, Path("/none"), refused)


def test_launchd_gets_the_words_as_they_are(tmp_path):
    plan = install_plan(TimerKind.LAUNCHD, COMMAND, tmp_path, Machine())
    (agent,) = (plistlib.loads(data) for data in plan.files.values())
    assert agent["ProgramArguments"] == list(COMMAND)
    assert agent["StartInterval"] == 300


def test_a_failing_command_takes_back_what_was_written(tmp_path):
    machine = Machine(failing=("systemctl",))
    plan = install_plan(TimerKind.SYSTEMD, COMMAND, tmp_path, machine)
    with pytest.raises(BadInput, match="failed \\(no bus\\)"):
        install(plan, machine)
    assert not is_installed(TimerKind.SYSTEMD, tmp_path, machine)


def test_a_line_break_in_the_command_is_refused(tmp_path):
    with pytest.raises(BadInput, match="line break"):
        install_plan(TimerKind.CRON, ("finplan", "x\n* * * * * evil"), tmp_path, Machine())


def test_the_best_timer_there_is():
    assert timer_kind("linux", Machine()) is TimerKind.SYSTEMD
    assert timer_kind("linux", Machine(failing=("systemctl",))) is TimerKind.CRON
    assert timer_kind("darwin", Machine()) is TimerKind.LAUNCHD
    with pytest.raises(BadInput, match="from any timer you have"):
        timer_kind("linux", Machine(missing=("systemctl", "crontab")))


def test_a_program_that_is_not_there_counts_as_failed():
    assert run_command(("finplan-no-such-program",), "").status == 127
