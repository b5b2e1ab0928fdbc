"""From a fault to one sentence on stderr and an exit status."""

from __future__ import annotations

import errno
import os
import sys
import traceback

import click

from finplan.trade.errors import BadInput

DONE = 0
FAILED = 1
BAD_INPUT = 2
INTERRUPTED = 130


def status_of(error: BaseException) -> int:
    """Say on stderr what went wrong and return the exit status.

    A fault of the input is one sentence and 2, a failure of the program or the machine one
    sentence and 1; the traceback shows only where FINPLAN_DEBUG is set.
    """
    if isinstance(error, (BrokenPipeError, SystemExit)):  # click ends so where the reader is gone
        return _reader_gone()
    if isinstance(error, (KeyboardInterrupt, click.Abort)):
        return INTERRUPTED
    if isinstance(error, click.exceptions.Exit):
        return error.exit_code
    if isinstance(error, click.exceptions.NoArgsIsHelpError) and error.ctx is not None:
        click.echo(error.ctx.get_help())
        return DONE
    sentence = _fault_of_input(error)
    if sentence is not None:
        return tell(sentence, BAD_INPUT)
    if os.environ.get("FINPLAN_DEBUG"):
        traceback.print_exception(error)
    if isinstance(error, OSError):
        return tell(_os_sentence(error), FAILED)
    text = f"something failed inside finplan ({type(error).__name__}: {error})"
    return tell(f"{text}; nothing is half written; set FINPLAN_DEBUG=1 to see where", FAILED)


def _fault_of_input(error: BaseException) -> str | None:
    """Return what to say of a fault of the input, None for another failure."""
    if isinstance(error, BadInput):
        return str(error)
    if isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG:
        return "the name of a file is too long: give a shorter one"
    if isinstance(error, UnicodeEncodeError):
        return "an argument holds bytes that are no text: write it anew"
    if isinstance(error, click.UsageError):
        return _usage(error)
    if isinstance(error, click.ClickException):
        return error.format_message()
    return None


def printable(text: str, longest: int = 400) -> str:
    """Return text on one line without control characters, cut where it is very long."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= longest else f"{line[: longest // 2]} … {line[-longest // 4 :]}"


def tell(text: str, status: int) -> int:
    """Say one sentence on stderr and return the exit status."""
    click.echo(f"finplan: {printable(text)}", err=True)
    return status


def _usage(error: click.UsageError) -> str:
    text = error.format_message().rstrip(".")
    verb = error.ctx.command_path if error.ctx is not None else "finplan"
    return f"{text[:1].lower()}{text[1:]}; see {verb} --help"


def _os_sentence(error: OSError) -> str:
    reason = (error.strerror or str(error) or type(error).__name__).lower()
    if error.filename is None:
        return f"the system refused: {reason}"
    return f"{error.filename}: {reason}"


def _reader_gone() -> int:
    """Let ``finplan plan | head`` end quietly: what is still buffered goes nowhere."""
    devnull = os.open(os.devnull, os.O_WRONLY)
    os.dup2(devnull, sys.stdout.fileno())
    return DONE
