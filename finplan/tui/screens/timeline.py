"""The timeline with the chosen step's reason beside it."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from finplan.planning.plan import PlannedStep
from finplan.tui.models.coats import load_lines, step_lines
from finplan.tui.models.hours import open_hours
from finplan.tui.models.timeline import chart
from finplan.tui.models.view import View
from finplan.tui.models.words import load_of
from finplan.tui.screens.page import StepPage
from finplan.tui.widgets.lines import Lines, entitle
from finplan.tui.widgets.timeline import Timeline


class TimelinePage(StepPage):
    """All loads over time."""

    AREA = "timeline"
    HELP = (
        "All loads over time. The chosen step is explained beside or below the chart. Between the "
        "days after a project's safe date it is ready in 8 of 10 plans drawn at random: of how "
        "fast it dries, the weather, and work days missed as often as the journal shows. "
        "D says what that date hangs on."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "step('done')", "Done", show=False, id="step.done"),
        Binding("c", "step('check')", "Check dry", show=False, id="step.check"),
        Binding("enter", "details", "Details", show=False, id="timeline.details"),
    ]

    def body(self) -> ComposeResult:
        """The chart and the reason."""
        with Horizontal(id="timeline-page"):
            with Vertical(id="timeline-main"):
                yield Timeline(id="timeline")
                yield Lines(id="load-steps", classes="panel")
            yield Lines(id="reason", classes="panel")

    def on_mount(self) -> None:
        """Follow the ranges too, which come after the plan."""
        super().on_mount()
        self.watch(self.app, "ranges", self._ranges_found, init=False)
        self.watch(self.app, "slacks", self._explain, init=False)

    def share_room(self) -> None:
        """Where the loads are few, show all steps of the marked one's load below them."""
        chart = self.query_one(Timeline)
        needed = chart.get_content_height(self.size, self.size, self.size.width)
        self.give_room(chart, self.query_one("#load-steps"), needed)

    def on_screen_resume(self) -> None:
        """Ask for the ranges while the chart is in sight."""
        self.owner.find_ranges()

    def show(self, view: View) -> None:
        """Lay out the plan."""
        self.query_one(Timeline).show(chart(view, open_hours(view), self.owner.ranges))
        self._explain()
        self.call_after_refresh(self.share_room)
        if self.is_current:
            self.owner.find_ranges()

    def _ranges_found(self) -> None:
        if self.owner.view is not None:
            self.show(self.owner.view)

    def chosen_step(self) -> PlannedStep | None:
        """Return the step chosen in the chart."""
        view = self.owner.view
        return view.step(self.query_one(Timeline).chosen) if view else None

    def on_timeline_chosen(self) -> None:
        """Explain another step."""
        self._explain()

    def _explain(self) -> None:
        view = self.owner.view
        if view is None:
            return
        step = self.chosen_step()
        panel = self.query_one("#reason", Lines)
        entitle(panel, "This step")
        panel.show(lambda w, h: step_lines(view, step, w, self.owner.slacks))
        self.find_slack()
        steps = self.query_one("#load-steps", Lines)
        entitle(steps, f"All steps of {load_of(step)} · {step.project}" if step else "Steps")
        steps.show(lambda w, h: load_lines(view, step, w, h))
