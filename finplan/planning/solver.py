"""The solver in a child process, which is handed one job and tells what it finds."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from finplan.planning.aside import load_solver, start_aside
from finplan.planning.search_words import Job, Word


class Solver:
    """Our end of the line to the child; it ends with the block it serves.

    ``busy``: it has a job and is not done. ``settled``: it ended by itself, not by the clock.
    ``note``: what kept it from its work.
    """

    def __init__(self) -> None:
        self._child: BaseProcess | None = None
        self._line: Connection | None = None
        self.handed = self.busy = self.settled = False
        self.note = ""

    def __enter__(self) -> Solver:
        """Start the child, which loads the solver and waits for a job."""
        with suppress(OSError):
            self._child, self._line = start_aside(_child)
        return self

    def __exit__(self, *_: object) -> None:
        """End the child, whatever it is doing."""
        if self._child is not None and self._line is not None:
            self._child.kill()
            self._child.join()
            self._line.close()

    def hand(self, job: Job) -> None:
        """Give the child its job."""
        self.handed = True
        if self._line is None:
            self.note = "no process could be started to search; the best plan so far is kept"
            return
        try:
            self._line.send(job)
            self.busy = True
        except ConnectionError:
            self._broke_off()

    def words(self, wait_s: float = 0.0) -> Iterator[Word]:
        """What it has told since, and tells within some seconds if that is nothing yet."""
        try:
            while self.busy and self._line is not None and self._line.poll(wait_s):
                word: Word = self._line.recv()
                self.busy, self.settled, wait_s = not word.closed, word.settled, 0.0
                yield word
        except (EOFError, ConnectionError):
            self._broke_off()

    def _broke_off(self) -> None:
        self.busy = False
        self.note = "the search broke off early; the best plan so far is kept"


def _child(theirs: Connection) -> None:
    load_solver()
    from finplan.planning.solve import solve

    solve(theirs.recv(), theirs.send)
