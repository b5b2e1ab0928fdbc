"""What the application reads: the view of the data, the clock, the timers, a better plan."""

from __future__ import annotations

import datetime as dt
import threading
import time
from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING

from textual import work
from textual.reactive import reactive
from textual.worker import Worker, WorkerState, get_current_worker

from finplan.tracking.timers import Timer
from finplan.trade.errors import BadInput
from finplan.tui import collector
from finplan.tui.crash import keep_log
from finplan.tui.models.paint import tidy
from finplan.tui.models.timers import alarms, timer_words, timers
from finplan.tui.models.times import date, local
from finplan.tui.models.view import View
from finplan.tui.screens.pages import load_all
from finplan.tui.thinking import THINK_S, gained, giving_way, verdict
from finplan.tui.widgets.painter import RoleApp

if TYPE_CHECKING:
    import textual.timer

    from finplan.planning.plan import PlannedStep
    from finplan.services.chance import Range
    from finplan.services.planned import Planned
    from finplan.tui.first_reading import FirstReading
    from finplan.tui.models.cared import Care
    from finplan.tui.shop import Shop

TICK_S = 1.0
LOOK_S = 2.0
BREATH_S = 0.05
"""What the first view has to get out to the terminal before other things are loaded."""
AGAIN_S = 60.0
REST_S = 0.2
"""So long the cursor rests before what takes a while is looked for."""
FEW_YEARS, MANY_YEARS = 5, 10
STARTING = ("load", "read")
"""What runs in the background before the program is all there."""


class ReadingApp(RoleApp):
    """Keeps the view of a shop's data up to date, whoever changes the data.

    The upkeep of pieces in use (``care``, None while nothing is installed) changes by the day:
    it is read on its own, after the plan, when the data or the day is another.
    """

    view: reactive[View | None] = reactive(None)
    care: reactive[Care | None] = reactive(None)
    years: reactive[int] = reactive(FEW_YEARS)
    clock_words: reactive[str] = reactive("")
    running: reactive[tuple[tuple[Timer, str], ...]] = reactive(())
    ranges: reactive[Mapping[str, Range]] = reactive(dict)
    slacks: reactive[Mapping[str, str]] = reactive(dict)

    def __init__(self, shop: Shop, first: FirstReading | None = None) -> None:
        super().__init__()
        self.shop = shop
        self._first = first
        self._stamp: int | None = None
        self._cared: tuple[int, dt.date, int] | None = None
        self._rung: set[str] = set()
        self._slacks_of: object = None
        self._resting: textual.timer.Timer | None = None
        self._ranges_of: tuple[int | None, dt.datetime] | None = None
        self._stop_thinking: threading.Event | None = None
        self._told_of_no_notice = False
        self._starting = set(STARTING)
        self._showed: View | None = None

    def on_mount(self) -> None:
        """Read the data and start the clock."""
        self.reload(self._first)
        if not self.shop.fixed:
            self.set_interval(TICK_S, self._tick)
            self.set_interval(AGAIN_S, self.reload)

    def on_unmount(self) -> None:
        """Leave the collector as it is elsewhere."""
        collector.look_everywhere()

    def _tick(self) -> None:
        now = self.present()
        self._show_clock(now)
        self._run_timers(now)

    def present(self) -> dt.datetime:
        """Return the moment it is: the clock's, or the one the view was made for."""
        if self.shop.fixed and self.view is not None:
            return self.view.now
        return dt.datetime.now(dt.UTC)

    def _run_timers(self, now: dt.datetime) -> None:
        """Show the short timers, and ring once for each that becomes due."""
        running = timers(self.view, now) if self.view else ()
        self.running = timer_words(running, now)
        due = {one.key for one in running if one.rings <= now}
        if due - self._rung:
            self.bell()
            self.ring()
        self._rung = due | (self._rung & {one.key for one in running})

    @work(thread=True, exclusive=True, group="ring", exit_on_error=False)
    def ring(self) -> None:
        """Raise desktop notices for what has come; nothing rings twice on this machine."""
        view = self.view
        if self.shop.fixed or view is None:
            return
        try:
            rang = self.shop.ring(alarms(timers(view, self.present()), self.present()))
        except BadInput as fault:
            failures: tuple[str, ...] = (str(fault),)
        else:
            failures = rang.failures
        if failures and not self._told_of_no_notice:
            self._told_of_no_notice = True
            self.call_from_thread(self.complain, f"{failures[0]}; here the bell rings")

    def _show_clock(self, now: dt.datetime) -> None:
        zone = self.view.zone if self.view else "UTC"
        there = local(now, zone)
        elsewhere = self.view.elsewhere if self.view else ""
        self.clock_words = f"{date(there.date())} {there:%H:%M} {elsewhere}".rstrip()

    @work(thread=True, exclusive=True, group="read", exit_on_error=False)
    def reload(self, first: FirstReading | None = None) -> None:
        """Plan anew in the background, unless a first reading is there, and show the result."""
        worker = get_current_worker()
        found = first.take() if first is not None else None
        try:
            stamp, view = found or (self.shop.stamp(), self.shop.read())
        except BadInput as fault:
            self.call_from_thread(self.complain, str(fault))
            return
        if not worker.is_cancelled:
            self.call_from_thread(self._arrived, view, stamp)

    def _arrived(self, view: View, stamp: int) -> None:
        if stamp != self._stamp:
            self.workers.cancel_group(self, "chance")  # its plan is not the one that shows
        self._stamp = stamp
        self.view = view
        self._show_clock(view.now)
        ticking = {timer.key for timer, _ in self.running}
        already = {one.key for one in timers(view, view.now) if one.rings <= view.now}
        self._rung |= already - ticking
        self._run_timers(view.now)
        empty = view.planned is None and not view.fault and not view.installed
        if empty and self.current_mode == self.DEFAULT_MODE:
            self.switch_mode("start")
        if view.fault:
            self.complain(view.fault)

    def showed(self, view: View) -> None:
        """Do in the background what would only hold up a view before it showed."""
        if view is self._showed:
            return
        before, self._showed = self._showed, view
        if before is None:
            self.set_interval(LOOK_S, self._look)
            self._load_the_rest()
        else:
            self._read_the_rest()

    def _read_the_rest(self) -> None:
        self._follow_care()
        self.ring()

    @work(thread=True, group="load", exit_on_error=False)
    def _load_the_rest(self) -> None:
        """Load what comes next, so that going to a screen and recording a step are quick."""
        from finplan.tui.first_reading import load_for_later

        time.sleep(BREATH_S)
        if get_current_worker().is_cancelled:
            return
        self.call_from_thread(self._read_the_rest)
        load_all()
        load_for_later()

    def _follow_care(self) -> None:
        """Read the upkeep again where the data, the day or the years asked for are others."""
        if self.view is None or self._stamp is None:
            return
        wanted = (self._stamp, local(self.view.now, self.view.zone).date(), self.years)
        if wanted != self._cared:
            self._cared = wanted
            self._read_care(self.years)

    @work(thread=True, exclusive=True, group="care", exit_on_error=False)
    def _read_care(self, years: int) -> None:
        worker = get_current_worker()
        try:
            care = self.shop.upkeep(years)
        except BadInput as fault:
            self.call_from_thread(self.complain, str(fault))
            return
        if not worker.is_cancelled:
            self.call_from_thread(setattr, self, "care", care)

    def watch_years(self) -> None:
        """Read as many years as are asked for."""
        self._follow_care()

    @work(thread=True, exclusive=True, group="look", exit_on_error=False)
    def _look(self) -> None:
        """See whether another program has written to the data."""
        try:
            stamp = self.shop.stamp()
        except BadInput:
            return
        if self._stamp is not None and stamp != self._stamp:
            self.call_from_thread(self.reload)

    def find_ranges(self) -> None:
        """See in the background between which days each project is likely ready, if not known."""
        view = self.view
        if view is None or view.planned is None or not view.steps:
            return
        key = (self._stamp, view.now.replace(minute=0, second=0, microsecond=0))
        if key != self._ranges_of:
            self._ranges_of = key
            self._find_ranges(view.planned)

    @work(thread=True, exclusive=True, group="chance", exit_on_error=False)
    def _find_ranges(self, made: Planned) -> None:
        worker = get_current_worker()
        try:
            found = self.shop.ranges(made, lambda: worker.is_cancelled)
        except BadInput:  # no run ends within a year: there is no range to show
            found = {}
        if not worker.is_cancelled:
            self.call_from_thread(setattr, self, "ranges", found)

    def find_slack(self, step: PlannedStep | None) -> None:
        """See how much later a step can start, once the cursor rests on it; ``slacks`` tells.

        What was found holds while nothing is written, for the hour.
        """
        if self._resting is not None:
            self._resting.stop()
        view = self.view
        if view is None or view.planned is None:
            return
        hour = view.now.replace(minute=0, second=0, microsecond=0)
        key = (self._stamp, hour, view.planned.plan.ready)
        if key != self._slacks_of:
            self._slacks_of = key
            self.slacks = {}
        if step is not None and step.person and not step.done and step.id not in self.slacks:
            self._resting = self.set_timer(REST_S, partial(self._find_slack, view.planned, step.id))

    @work(thread=True, exclusive=True, group="slack", exit_on_error=False)
    def _find_slack(self, made: Planned, step: str) -> None:
        worker, key = get_current_worker(), self._slacks_of
        words = self.shop.slack(made, step, lambda: worker.is_cancelled)
        if not worker.is_cancelled:
            self.call_from_thread(self._slack_found, key, step, words)

    def _slack_found(self, key: object, step: str, words: str) -> None:
        if key == self._slacks_of:
            self.slacks = {**self.slacks, step: words}

    def action_think(self) -> None:
        """Look for a better plan; while it is looked for, stop and keep the best so far."""
        if self._stop_thinking is not None:
            self._stop_thinking.set()
            return
        if self.view is not None and self.view.planned is not None:
            self._stop_thinking = threading.Event()
            self.say(f"Looking for a better plan, up to {THINK_S:.0f} s; the same key stops it.")
            self._think(self.view, self._stamp, self._stop_thinking)

    @work(thread=True, group="think", exit_on_error=False)
    def _think(self, before: View, stamp: int | None, stop: threading.Event) -> None:
        """Look for a better plan in the background; a change of the data makes it void."""
        worker = get_current_worker()
        try:
            stopped = giving_way(lambda: stop.is_set() or worker.is_cancelled)
            after = self.shop.read(THINK_S, stopped)
        except BadInput as fault:
            self.call_from_thread(self.complain, str(fault))
            return
        finally:
            self._stop_thinking = None
        if not worker.is_cancelled and self._stamp == stamp:
            self.call_from_thread(self._thought, before, after)
            if after.planned is not None and gained(before, after):
                self.shop.keep(after.planned)

    def _thought(self, before: View, after: View) -> None:
        if gained(before, after):
            self.view = after
        self.say(verdict(before, after))

    def say(self, words: str) -> None:
        """Show a few words for a moment."""
        self.notify(tidy(words, 200), markup=False)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say so when a worker failed in a way nobody foresaw; the screens stay up."""
        if event.worker.is_finished and self._starting:
            self._starting.discard(event.worker.group)
            if not self._starting:
                collector.resume()
        if event.state is WorkerState.ERROR:
            fault = event.worker.error
            kept = keep_log(fault) if fault is not None else None
            where = f"; the traceback is in {kept}" if kept else ""
            self.complain(
                f"that failed ({type(fault).__name__}: {fault}); nothing was changed{where}"
            )

    def complain(self, sentence: str) -> None:
        """Show a fault as one sentence."""
        self.notify(tidy(sentence), severity="error", timeout=12, markup=False)
