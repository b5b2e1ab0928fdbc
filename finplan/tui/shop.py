"""The shop's data as the screens see it: one reading, and the things a person can do.

Every call opens the data itself, so that each may run in a thread of its own.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Any

from finplan.tui.models.view import View

if TYPE_CHECKING:
    from finplan.journal.entries import Entry
    from finplan.planning.plan import PlannedStep
    from finplan.services.session import Session
    from finplan.services.write import Recorded
    from finplan.trade.finishes import Stage


class Shop:
    """The data at ``data`` at the moment ``now`` (None: as the clock goes)."""

    def __init__(
        self,
        data: str | None = None,
        now: str | dt.datetime | None = None,
        units: str | None = None,
        zone: str | None = None,
    ) -> None:
        from finplan.services.session import open_session

        self._open: Callable[[], AbstractContextManager[Session]] = lambda: open_session(
            data, now, units, zone
        )
        self.fixed = now is not None

    def now(self) -> dt.datetime:
        """Return the moment it is, without opening the data where the clock goes."""
        if not self.fixed:
            return dt.datetime.now(dt.UTC)
        with self._open() as session:
            return session.now

    def stamp(self) -> int:
        """Return a number that changes whenever anybody writes to the data."""
        with self._open() as session:
            return session.store.change_stamp()

    def read(self) -> View:
        """Return the plan, the overview of it and the journal."""
        from finplan.planning.request import NoPlan
        from finplan.services.gather import active_projects
        from finplan.services.journal import entries_of
        from finplan.services.overview import overview
        from finplan.services.planned import planned

        with self._open() as session:
            with session.store.unit(writes=False) as unit:
                empty = not active_projects(unit)
            if empty:
                return View(session.now, session.zone or "UTC", None, None, ())
            entries = tuple(listed.entry for listed in entries_of(session))
            try:
                made = planned(session)
            except NoPlan as fault:
                return View(session.now, session.zone or "UTC", None, None, entries, str(fault))
            return View(session.now, made.zone.key, made, overview(session, made), entries)

    def record(self, step: PlannedStep, given: Mapping[str, Any]) -> Recorded:
        """Record a step as done; ``given`` holds what the form asked."""
        from finplan.services.record import record_step

        with self._open() as session:
            return record_step(session, step.project, step.batch, step.load, step.step, **given)

    def skip(self, step: PlannedStep, given: Mapping[str, Any]) -> Recorded:
        """Record that a step is left out."""
        from finplan.services.record import skip_step

        with self._open() as session:
            return skip_step(session, step.project, step.batch, step.load, step.step, **given)

    def repeat(self, step: PlannedStep, given: Mapping[str, Any]) -> Recorded:
        """Record that a done step has to be done again."""
        from finplan.services.record import repeat_step

        with self._open() as session:
            return repeat_step(session, step.project, step.batch, step.load, step.step, **given)

    def check(
        self, step: PlannedStep, stage: Stage, reached: bool, given: Mapping[str, Any]
    ) -> Recorded:
        """Record a dryness check of the surface a step left."""
        from finplan.services.record import record_check

        with self._open() as session:
            return record_check(
                session,
                step.project,
                step.batch,
                step.load,
                step.step,
                stage=stage,
                reached=reached,
                **given,
            )

    def wish(self, step: PlannedStep, start: dt.datetime | None) -> Recorded:
        """Wish a step at an hour; None withdraws the wish."""
        from finplan.services.record import wish

        with self._open() as session:
            return wish(session, step.project, step.batch, step.load, step.step, start)

    def note(self, project: str, words: str) -> Recorded:
        """Keep a word with a project."""
        from finplan.services.record import add_note

        with self._open() as session:
            return add_note(session, project, words)

    def correct(self, entry: Entry, changes: Mapping[str, object]) -> Recorded:
        """Correct an entry by another one."""
        from finplan.services.journal import correct

        with self._open() as session:
            return correct(session, entry.uid, changes)

    def undo(self) -> Recorded:
        """Undo the last entry that counts."""
        from finplan.services.journal import undo

        with self._open() as session:
            return undo(session)

    def redo(self) -> Recorded:
        """Bring back what was undone last."""
        from finplan.services.journal import redo

        with self._open() as session:
            return redo(session)
