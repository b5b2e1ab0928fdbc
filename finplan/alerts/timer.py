"""A timer of the person's own system that asks every few minutes what is due, and rings it."""

from __future__ import annotations

import plistlib
import re
import shlex
import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from finplan.trade.errors import BadInput

NAME = "finplan-remind"
LABEL = "finplan.remind"
EVERY_MINUTES = 5

NOT_THERE = 127
"""Exit status of a command that is not there, as shells have it."""

_NO_TABLE = re.compile("no f?crontab|no such file", re.IGNORECASE)
"""How the crons say that a person has no table."""

_CRON_BEGIN = f"# {NAME}: begin (made by 'finplan remind install')"
_CRON_END = f"# {NAME}: end"


class TimerKind(StrEnum):
    """Whose timer: systemd of the user, cron, or launchd."""

    SYSTEMD = "systemd"
    CRON = "cron"
    LAUNCHD = "launchd"


@dataclass(frozen=True, slots=True)
class Ran:
    """What came of a command: its exit status and what it wrote."""

    status: int
    output: str


Run = Callable[[Sequence[str], str], Ran]
"""Runs a command with a text on its standard input."""


@dataclass(frozen=True, slots=True)
class TimerPlan:
    """What installing a timer writes and runs, to be shown before it is done.

    ``files``: content by path. ``commands``: run in order after the files are written;
    ``crontab``: the table put in place, None where cron is not used.
    """

    kind: TimerKind
    files: Mapping[Path, bytes]
    commands: tuple[tuple[str, ...], ...]
    crontab: str | None = None

    def shown(self) -> str:
        """Return the whole plan as text, to be read before anything is done."""
        parts = [f"# {path}\n{data.decode()}" for path, data in self.files.items()]
        if self.crontab is not None:
            parts.append(f"# crontab\n{self.crontab}")
        parts.extend(f"$ {shlex.join(command)}" for command in self.commands)
        return "\n".join(parts)


def run_command(command: Sequence[str], text: str) -> Ran:
    """Run a command really; one that is not there counts as failed."""
    try:
        done = subprocess.run(
            list(command), input=text, text=True, capture_output=True, check=False, timeout=30
        )
    except subprocess.TimeoutExpired as error:
        return Ran(1, str(error))
    except OSError as error:
        return Ran(NOT_THERE, str(error))
    return Ran(done.returncode, done.stdout if done.returncode == 0 else done.stderr)


def timer_kind(platform: str, run: Run = run_command) -> TimerKind:
    """Return the best timer this system has.

    Raises:
        BadInput: it has none that is known here.
    """
    if platform == "darwin":
        return TimerKind.LAUNCHD
    if run(("systemctl", "--user", "show-environment"), "").status == 0:
        return TimerKind.SYSTEMD
    if run(("crontab", "-l"), "").status != NOT_THERE:
        return TimerKind.CRON
    raise BadInput(
        "this system has neither a systemd of the user, cron nor launchd: run "
        "'finplan due --notify' from any timer you have",
        "remind",
    )


def install_plan(
    kind: TimerKind, command: Sequence[str], home: Path, run: Run = run_command
) -> TimerPlan:
    """Return what installing the timer for ``command`` would write and run.

    Args:
        kind: whose timer.
        command: program and arguments, such as ``finplan due --notify``.
        home: the person's home folder.
        run: how commands are run (only to read the present crontab).

    Raises:
        BadInput: an argument holds a line break.
    """
    if any(re.search(r"[\r\n\0]", word) for word in command):
        raise BadInput("a line break can't stand in a timer's command", "remind")
    if kind is TimerKind.SYSTEMD:
        return TimerPlan(
            kind,
            _units(command, home),
            (
                ("systemctl", "--user", "daemon-reload"),
                ("systemctl", "--user", "enable", "--now", f"{NAME}.timer"),
            ),
        )
    if kind is TimerKind.LAUNCHD:
        path = _agent_path(home)
        return TimerPlan(kind, {path: _agent(command)}, (("launchctl", "load", "-w", str(path)),))
    line = " ".join(shlex.quote(word) for word in command).replace("%", "\\%")
    block = f"{_CRON_BEGIN}\n*/{EVERY_MINUTES} * * * * {line} >/dev/null 2>&1\n{_CRON_END}\n"
    table = _without_block(_crontab(run)) + block
    return TimerPlan(kind, {}, (("crontab", "-"),), table)


def install(plan: TimerPlan, run: Run = run_command) -> None:
    """Do what a plan says; on a failure what was written is taken back.

    Raises:
        BadInput: a file can't be written or a command fails.
    """
    written: list[Path] = []
    try:
        for path, data in plan.files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
            written.append(path)
        for command in plan.commands:
            _must(run, command, plan.crontab or "")
    except (OSError, BadInput) as error:
        for path in written:
            path.unlink(missing_ok=True)
        if isinstance(error, BadInput):
            raise
        raise BadInput(f"can't be written ({error.strerror})", str(error.filename)) from None


def remove(kind: TimerKind, home: Path, run: Run = run_command) -> bool:
    """Take the timer out again; return False when there was none.

    Raises:
        BadInput: the crontab can't be written.
    """
    if not is_installed(kind, home, run):
        return False
    if kind is TimerKind.CRON:
        _must(run, ("crontab", "-"), _without_block(_crontab(run)))
        return True
    if kind is TimerKind.LAUNCHD:
        run(("launchctl", "unload", "-w", str(_agent_path(home))), "")
        _agent_path(home).unlink()
        return True
    run(("systemctl", "--user", "disable", "--now", f"{NAME}.timer"), "")
    for path in _units((), home):
        path.unlink(missing_ok=True)
    run(("systemctl", "--user", "daemon-reload"), "")
    return True


def is_installed(kind: TimerKind, home: Path, run: Run = run_command) -> bool:
    """Say whether the timer is in place."""
    if kind is TimerKind.CRON:
        return _CRON_BEGIN in _crontab(run)
    if kind is TimerKind.LAUNCHD:
        return _agent_path(home).exists()
    return any(path.exists() for path in _units((), home))


def _units(command: Sequence[str], home: Path) -> dict[Path, bytes]:
    folder = home / ".config" / "systemd" / "user"
    service = (
        "[Unit]\nDescription=finplan: ring what is due\n\n"
        f"[Service]\nType=oneshot\nExecStart={' '.join(map(_unit_word, command))}\n"
    )
    timer = (
        "[Unit]\nDescription=finplan: ask what is due\n\n"
        f"[Timer]\nOnCalendar=*:0/{EVERY_MINUTES}\nPersistent=true\n\n"
        "[Install]\nWantedBy=timers.target\n"
    )
    return {
        folder / f"{NAME}.service": service.encode(),
        folder / f"{NAME}.timer": timer.encode(),
    }


def _unit_word(word: str) -> str:
    """Quote a word for a unit file, where ``%`` and ``$`` stand for other things."""
    escaped = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    return f'"{escaped}"'


def _agent_path(home: Path) -> Path:
    return home / "Library" / "LaunchAgents" / f"{LABEL}.plist"


def _agent(command: Sequence[str]) -> bytes:
    return plistlib.dumps(
        {
            "Label": LABEL,
            "ProgramArguments": list(command),
            "StartInterval": EVERY_MINUTES * 60,
            "RunAtLoad": True,
        }
    )


def _crontab(run: Run) -> str:
    """Return the present table; a person without one has an empty one.

    Raises:
        BadInput: it can't be read: taken for empty, the person's own lines would be lost.
    """
    ran = run(("crontab", "-l"), "")
    if ran.status == 0:
        return ran.output
    if ran.status == NOT_THERE or _NO_TABLE.search(ran.output):
        return ""
    why = " ".join(ran.output.split())[:200] or f"exit status {ran.status}"
    raise BadInput(f"the crontab can't be read ({why}): nothing was changed", "remind")


def _without_block(table: str) -> str:
    block = re.compile(rf"^{re.escape(_CRON_BEGIN)}$.*?^{re.escape(_CRON_END)}$\n?", re.M | re.S)
    kept = block.sub("", table)
    return kept if not kept or kept.endswith("\n") else f"{kept}\n"


def _must(run: Run, command: Sequence[str], text: str) -> None:
    ran = run(command, text)
    if ran.status != 0:
        why = " ".join(ran.output.split())[:200] or f"exit status {ran.status}"
        raise BadInput(f"'{shlex.join(command)}' failed ({why})", "remind")
