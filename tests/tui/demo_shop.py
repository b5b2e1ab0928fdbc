"""The invented workshop in memory, with the methods of a shop."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Sequence
from dataclasses import replace
from types import SimpleNamespace
from zoneinfo import ZoneInfo

from finplan.journal.entries import Entry, EntryKind
from finplan.library.load import finishes, templates, upkeep_defaults, woods
from finplan.planning.ask import slack_said
from finplan.planning.plan import PlannedStep
from finplan.services.chance import Range
from finplan.services.editing import Edited
from finplan.services.new_project import HOURS
from finplan.services.samples import samples
from finplan.services.workshops import Change, changed
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.moments import say_date
from finplan.tui.models.cared import Care
from finplan.tui.models.date import BY, CHANCE, DOUBT, LEVERS, READY, Said, ready_part
from finplan.tui.models.paint import Role
from finplan.tui.models.view import View
from finplan.tui.shop import Choices
from finplan.tui.shop_dates import Tell
from finplan.tui.shop_upkeep import Downtime, PieceChoices
from tests.tui.demo_plan import demo_view
from tests.tui.demo_upkeep import demo_care, demo_window


class DemoShop:
    """The demo in memory, with the shop's methods."""

    fixed = True

    def __init__(self, view: View | None = None, care: Care | None = None) -> None:
        self.view = demo_view() if view is None else view
        self.care = demo_care() if view is None and care is None else care
        self.written: list[tuple[str, object]] = []
        self._before: list[View] = []
        self._undone: list[View] = []

    def stamp(self) -> int:
        return len(self.written)

    def read(self, seconds: float = 0.0, stopped: Callable[[], bool] = lambda: False) -> View:
        return self.view

    def ranges(self, made: object, stopped: object) -> dict[str, Range]:
        """Invented: from a week before the safe date to two weeks after."""
        week = dt.timedelta(days=7)
        return {
            ready.project: Range(ready.safe - week, ready.safe + 2 * week)
            for ready in self.view.planned.plan.ready
        }

    def slack(self, made: object, step: str, stopped: object) -> str:
        """Invented: five hours for every step."""
        return slack_said(dt.timedelta(hours=5))

    def about_date(self, project: str, by: dt.date | None, tell: Tell, stopped: object) -> None:
        """Invented: the date as it is in the demo, and two levers."""
        ready = next(r for r in self.view.planned.plan.ready if r.project == project)
        zone = ZoneInfo(self.view.zone)
        words = "No plan can be safely ready sooner: the drying alone takes 9 days."
        tell(READY, ready_part(ready, words, zone))
        said = f"To be safely ready by {say_date(by)} work has to begin today" if by else ""
        tell(BY, (Said(said),) if said else ())
        tell(CHANCE, (Said("Ready by then in 6 of 10 such autumns.", role=Role.STRONG),))
        levers = (
            Said("shed 5 °C warmer", "3 d sooner        "),
            Said("a fan", "no change         "),
        )
        tell(LEVERS, levers)
        tell(DOUBT, ())

    def keep(self, made: object) -> None:
        self.kept = made

    def upkeep(self, years: int) -> Care | None:
        return demo_care(years=years) if self.care and years != self.care.years else self.care

    def downtime_of(self, name: str) -> Downtime:
        return Downtime(demo_window())

    def piece_choices(self) -> PieceChoices:
        return PieceChoices(finishes(), upkeep_defaults())

    def piece_version(self, name: str) -> int:
        return 1

    def choices(self) -> Choices:
        return Choices(templates(), tuple(woods()), tuple(HOURS))

    def samples(self) -> tuple:
        return samples()

    def _write(self, kind: EntryKind, step: PlannedStep | None, given: object) -> SimpleNamespace:
        entry = Entry(
            uid=uuid.UUID(int=1000 + len(self.written)),
            project=step.project if step else "",
            kind=kind,
            at=self.view.now,
            recorded_at=self.view.now,
            batch=step.batch if step else "",
            load=step.load if step else 0,
            loads=step.loads if step else 0,
            step=step.step if step else "",
        )
        self.written.append((kind.value, given))
        return SimpleNamespace(entry=entry, moved=(), cautions=(), subject=None)

    def record(self, step: PlannedStep, given: dict) -> SimpleNamespace:
        if given.get("at") and given["at"] > self.view.now:
            raise BadInput("that is in the future: give a time up to now", "Done at")
        recorded = self._write(EntryKind.STEP_DONE, step, given)
        steps = tuple(replace(s, done=True) if s.id == step.id else s for s in self.view.steps)
        self._before.append(self.view)
        self.view = demo_view(steps, entries=(*self.view.entries, recorded.entry))
        recorded.moved = ("Coat 3 of slats 1/2: Thu 18:30, as planned",)
        return recorded

    def skip(self, step: PlannedStep, given: dict) -> SimpleNamespace:
        return self._write(EntryKind.STEP_SKIPPED, step, given)

    def repeat(self, step: PlannedStep, given: dict) -> SimpleNamespace:
        return self._write(EntryKind.STEP_REPEAT, step, given)

    def check(self, step: PlannedStep, stage: Stage, reached: bool, given: dict) -> SimpleNamespace:
        return self._write(EntryKind.DRYNESS_CHECK, step, (stage, reached, given))

    def wish(self, step: PlannedStep, start: dt.datetime | None) -> SimpleNamespace:
        return self._write(EntryKind.WISH, step, start)

    def note(self, project: str, words: str) -> SimpleNamespace:
        return self._write(EntryKind.NOTE, None, words)

    def correct(self, entry: Entry, changes: dict) -> SimpleNamespace:
        return self._write(EntryKind.CORRECTION, None, changes)

    def undo(self, made: object = None) -> SimpleNamespace:
        if not self._before:
            raise BadInput("there is nothing to undo: the journal has no entry for it")
        subject = self.view.entries[-1]
        self._undone.append(self.view)
        self.view = self._before.pop()
        recorded = self._write(EntryKind.UNDO, None, subject)
        recorded.subject = subject
        return recorded

    def change_workshop(self, name: str, changes: Sequence[Change]) -> Edited:
        """The plan stays as it is laid out by hand; the workshop changes."""
        shop = changed(self.view.workshop, changes)
        self._before.append(self.view)
        self.view = replace(self.view, planned=replace(self.view.planned, workshop=shop))
        self.written.append(("workshop", shop))
        return Edited(name, "the workshop changed")

    def redo(self, made: object = None) -> SimpleNamespace:
        if not self._undone:
            raise BadInput("there is nothing to redo: the journal has no entry for it")
        self._before.append(self.view)
        self.view = self._undone.pop()
        recorded = self._write(EntryKind.REDO, None, None)
        recorded.subject = self.view.entries[-1]
        return recorded
