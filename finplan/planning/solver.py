"""The solver in a child process, which is handed one job and tells what it finds."""

from __future__ import annotations

from collections.abc import Iterator
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from finplan.planning.aside import load_solver, start_aside
from finplan.planning.search_words import READY, Job, Word


class Solver:
    """Our end of the line to the child; it ends with the block it serves.

    ``handed``: it was given its job. ``busy``: it is not done with it. ``settled``: it ended by
    itself, not by the clock. ``note``: what kept it from its work.
    """

    def __init__(self) -> None:
        self._child: BaseProcess | None = None
        self._line: Connection | None = None
        self._ready = self.handed = self.busy = self.settled = False
        self.note = ""

    def __enter__(self) -> Solver:
        """Begin the block, at the end of which the child ends."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the child, whatever it is doing."""
        self.busy = False
        if self._child is not None and self._line is not None:
            self._child.kill()
            self._child.join()
            self._line.close()

    def start(self) -> None:
        """Start the child, if that was not done: it loads the solver and waits for a job."""
        if self._child is None and not self.note:
            try:
                self._child, self._line = start_aside(_child)
            except OSError:
                self._ends("no process could be started to search; the best plan so far is kept")

    def ready(self, wait_s: float = 0.0) -> bool:
        """Whether it waits for its job, or does so within some seconds."""
        self._ready = self._ready or READY in self._heard(wait_s)
        return self._ready

    def hand(self, job: Job) -> None:
        """Give the child its job, once it is ready: one that is not would keep us waiting."""
        self.handed = self.busy = True
        try:
            if self._line is not None:
                self._line.send(job)
        except ConnectionError:
            self._ends()

    def words(self, wait_s: float = 0.0) -> Iterator[Word]:
        """What it has told since, and tells within some seconds if that is nothing yet."""
        for word in self._heard(wait_s) if self.busy else ():
            self.settled = word.settled
            yield word
            if word.closed:
                self.busy = False
                return

    def _heard(self, wait_s: float) -> Iterator[Word]:
        try:
            while self._line is not None and not self.note and self._line.poll(wait_s):
                wait_s = 0.0
                yield self._line.recv()
        except (EOFError, ConnectionError):
            self._ends()

    def _ends(self, note: str = "the search broke off early; the best plan so far is kept") -> None:
        self.busy, self.note = False, note


def _child(theirs: Connection) -> None:
    load_solver()
    from finplan.planning.solve import solve

    theirs.send(READY)
    solve(theirs.recv(), theirs.send)
