"""The opening screen: drying, to do, windows, air, projects."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.planning.plan import PlannedStep
from finplan.tui.models.bench import (
    air_lines,
    coming_lines,
    project_lines,
    step_notes,
    todo_table,
    todo_title,
    window_lines,
)
from finplan.tui.models.drying import drying_lines
from finplan.tui.models.paint import Role, wrap
from finplan.tui.models.table import Table
from finplan.tui.models.timers import timer_lines
from finplan.tui.models.upkeep_bench import bench_lines, pending
from finplan.tui.models.view import View
from finplan.tui.screens.page import StepPage
from finplan.tui.widgets.lines import UNLIMITED, Lines, entitle
from finplan.tui.widgets.table_view import TableView


class BenchPage(StepPage):
    """What is drying, what to do now, which windows close, the air."""

    AREA = "bench"
    HELP = (
        "The bench answers what is drying and how far, what to do now in order, which recoat "
        "window closes when, whether the air lets you coat, and what upkeep comes. d records the "
        "marked step as done, c records how dry a surface is. Times are safe ones unless they say "
        "likely."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "details", "Details", show=False, id="bench.details"),
    ]

    def body(self) -> ComposeResult:
        """Drying and to do; below them, or beside them when wide, the rest."""
        with Horizontal(id="bench"):
            with Vertical(id="bench-main"):
                yield Lines(id="drying", classes="panel")
                yield Lines(id="timers")
                with Vertical(id="todo-panel", classes="panel"):
                    yield TableView(id="todo")
                    yield Lines(id="todo-notes")
                yield Lines(id="coming", classes="panel")
                yield Lines(id="upkeep-line")
            with Vertical(id="bench-side"):
                yield Lines(id="windows", classes="panel")
                yield Lines(id="air", classes="panel")
                yield Lines(id="upkeep-next", classes="panel")
                yield Lines(id="projects", classes="panel")

    def share_room(self) -> None:
        """Where the list of what to do is short, show the days to come below it."""
        panel, table = self.query_one("#todo-panel"), self.query_one("#todo", TableView)
        most = self.query_one("#todo-notes").styles.max_height
        notes = int(most.value) if most is not None else 0
        needed = 1 + table.get_content_height(self.size, self.size, self.size.width) + notes
        planned = self.owner.view is not None and self.owner.view.overview is not None
        self.give_room(panel, self.query_one("#coming"), needed if planned else UNLIMITED)

    def on_mount(self) -> None:
        """Follow the short timers too."""
        super().on_mount()
        self.watch(self.app, "running", self._show_timers)
        self.watch(self.app, "care", self._show_upkeep)
        self.watch(self.app, "slacks", self._explain, init=False)

    def _show_timers(self) -> None:
        app = self.owner
        panel = self.query_one("#timers", Lines)
        running = tuple(timer for timer, _ in app.running)
        panel.display = bool(running)
        zone = app.view.zone if app.view else "UTC"
        panel.show(lambda w, h: timer_lines(running, app.present(), zone, w))
        self.call_after_refresh(self.share_room)

    def _show_upkeep(self) -> None:
        """Show what upkeep comes: a panel, or where it is small one line."""
        view, care = self.owner.view, self.owner.care
        if view is None:
            return
        panel = self.query_one("#upkeep-next", Lines)
        entitle(panel, "Upkeep")
        some = pending(view, care)
        for shown in (panel, self.query_one("#upkeep-line", Lines)):
            shown.set_class(not some.work and not some.finished, "nothing")
            shown.show(lambda w, h: bench_lines(view, some, w, h))

    def show(self, view: View) -> None:
        """Fill the panels."""
        self._show_upkeep()
        over = view.overview
        if over is None:
            fault = view.fault or "N begins a project or loads a sample, 8 shows pieces in use."
            told = view.ways_out or (fault,)
            change = "S changes the workshop's hours, days off and rooms." if view.fault else ""
            entitle(self.query_one("#drying"), "No plan" if view.fault else "No project yet")
            entitle(self.query_one("#todo-panel"), "To do")
            entitle(self.query_one("#windows"), "Recoat windows")
            entitle(self.query_one("#air"), "Air now")
            self.query_one("#todo", TableView).show(Table((), (), empty="Nothing is planned."))
            self.query_one("#drying", Lines).show(
                lambda w, h: (
                    *(line for one in told for line in wrap(one, w, Role.BAD)),
                    *wrap(change, w),
                )
            )
            return
        self.query_one("#todo", TableView).show(todo_table(view))
        entitle(self.query_one("#todo-panel"), todo_title(view))
        drying = self.query_one("#drying", Lines)
        entitle(drying, f"Drying · {len(over.drying)}" if over.drying else "Drying")
        drying.show(lambda w, h: drying_lines(over.drying, view.now, view.zone, w, h))
        windows = self.query_one("#windows", Lines)
        entitle(windows, "Recoat windows")
        windows.show(lambda w, h: window_lines(over.windows, view, w, h))
        air = self.query_one("#air", Lines)
        entitle(air, "Air now")
        air.show(lambda w, h: air_lines(over.air, view, w, h))
        projects = self.query_one("#projects", Lines)
        entitle(projects, "Projects")
        projects.show(lambda w, h: project_lines(over.projects, view, w, h))
        coming = self.query_one("#coming", Lines)
        entitle(coming, "Coming days")
        coming.show(lambda w, h: coming_lines(view, w, h))
        self.call_after_refresh(self.share_room)

    def chosen_step(self) -> PlannedStep | None:
        """Return the step under the cursor of the list."""
        view = self.owner.view
        return view.step(self.query_one("#todo", TableView).key) if view else None

    def on_table_view_moved(self) -> None:
        """Tell of another step."""
        self._explain()

    def _explain(self) -> None:
        """Show why the marked step stands there, how long it may wait, and its cautions."""
        view = self.owner.view
        if view is not None:
            step = self.chosen_step()
            self.query_one("#todo-notes", Lines).show(
                lambda w, h: step_notes(view, step, w, h, self.owner.slacks)
            )
            self.find_slack()

    def on_table_view_chosen(self) -> None:
        """Enter shows the step in full."""
        self.action_details()
