"""A child process that works for its parent alone: it leaves Ctrl-C to it and ends with it."""

from __future__ import annotations

import multiprocessing
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr
from importlib import import_module
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from types import ModuleType


def start_aside(
    work: Callable[[Connection], None], *, copied: bool = False
) -> tuple[BaseProcess, Connection]:
    """Start a child process that does some work, and return it with our end of its pipe.

    What it needs is to be sent, not given as an argument: a child that dies early must not block
    its parent. Whoever starts it kills it.

    Args:
        work: a function of a module, called in the child with its end of the pipe.
        copied: where it is safe (on Linux, while there is one thread) the child is a copy of
            this process, which starts at once; elsewhere it starts afresh all the same.

    Raises:
        OSError: no process is to be had.
    """
    ours, theirs = multiprocessing.Pipe()
    if copied and sys.platform == "linux" and threading.active_count() == 1:
        child: BaseProcess = multiprocessing.get_context("fork").Process(
            target=_work, args=(work, theirs), daemon=True
        )
    else:
        with redirect_stderr(sys.__stderr__):  # the tracker inherits it; a screen's is no file
            resource_tracker.ensure_running()  # it would let Ctrl-C through again
        child = multiprocessing.get_context("spawn").Process(
            target=_work, args=(work, theirs), daemon=True
        )
    with _no_interrupt():
        child.start()
    theirs.close()
    return child, ours


def load_solver() -> None:
    """Load the solver without the table library it knows, which takes longer than the rest.

    The solver looks there for two types only, to take whole columns of a table as variables;
    our models never hand it any. A version that wants more of it gets the library itself. For a
    child that does nothing else.
    """
    if "pandas" not in sys.modules:
        tables = ModuleType("pandas")
        tables.__dict__.update(Index=type("Index", (), {}), Series=type("Series", (), {}))
        sys.modules["pandas"] = tables
        try:
            import_module("ortools.sat.python.cp_model")
        except (AttributeError, ImportError):
            del sys.modules["pandas"]


@contextmanager
def _no_interrupt() -> Iterator[None]:
    """Hold Ctrl-C back; a child started within never hears of it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _work(work: Callable[[Connection], None], theirs: Connection) -> None:
    threading.Thread(target=_end_with_parent, daemon=True).start()
    work(theirs)


def _end_with_parent() -> None:
    """Leave no orphan where the parent is killed and cannot kill us."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        signal.raise_signal(signal.SIGTERM)
