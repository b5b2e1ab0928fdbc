"""A week in the shop by a fake clock: what a careful person wants to hear, once, in time."""

import dataclasses
import datetime as dt
import uuid
from collections import Counter
from zoneinfo import ZoneInfo

import pytest

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.fold import progress
from finplan.planning.make import make_plan
from finplan.tracking.alarms import alarm_key, alarms_to_ring
from finplan.tracking.quiet import quiet_stretch
from finplan.tracking.reminder import IN_THE_SHOP, MAKES_READY, ReminderSettings, Role
from finplan.tracking.reminders import reminders_of
from finplan.tracking.settled import settled_hour
from finplan.trade.steps import WAITING_KINDS, StepKind
from tests.unit.planning.shops import EVENINGS, batch, project, request, workshop

MONDAY = dt.datetime(2026, 10, 5, 6, 0, tzinfo=dt.UTC)
TICK = dt.timedelta(minutes=15)
OSLO = ZoneInfo("Europe/Oslo")
SETTINGS = ReminderSettings()


class Week:
    """Plays a person who does what the plan says, at a machine that rings when it is awake."""

    def __init__(
        self, away=lambda at: False, asleep=lambda at: False, days=8, early=None, asked=None
    ):
        self.request = asked or request(project(batch()), shop=workshop(EVENINGS), now=MONDAY)
        self.away, self.asleep = away, asleep
        self.entries, self.heard, self.rung, self.wanted = [], [], set(), {}
        self.plan = None
        at = MONDAY
        while at < MONDAY + dt.timedelta(days=days):
            if self.plan is not None and not self.away(at):
                self.work(self.plan, at)
                for key in (early or {}).get(at, ()):
                    step = next(step for step in self.plan.steps if step.step == key)
                    self.record(step, at - TICK, at, at)
            self.tick(at)
            # Only by day something happens in between the hours.
            at += TICK if 6 <= at.hour < 20 else dt.timedelta(hours=1)

    def tick(self, at):
        facts = progress(self.entries, self.request.projects[0])
        written = max((entry.recorded_at for entry in self.entries), default=None)
        asked = dataclasses.replace(
            self.request,
            now=settled_hour(self.request.workshop, written, at),
            progress={"bench": facts},
        )
        self.plan = make_plan(asked)
        reminders = reminders_of(self.plan, asked, SETTINGS)
        if not self.asleep(at):
            for reminder in alarms_to_ring(reminders, self.rung, at, SETTINGS, OSLO):
                self.heard.append((at, reminder))
                self.rung.add(alarm_key(reminder))

    def work(self, plan, at):
        for step in plan.steps:
            if step.done or step.kind in WAITING_KINDS or step.end > at:
                continue
            self.record(step, step.start, step.end, at)

    def record(self, step, start, end, at):
        self.entries.append(
            Entry(
                uid=uuid.UUID(int=len(self.entries) + 1),
                project="bench",
                kind=EntryKind.STEP_DONE,
                at=end,
                recorded_at=at,
                batch=step.batch,
                load=step.load,
                loads=step.loads,
                step=step.step,
                details={"started": start.isoformat()},
            )
        )

    def heard_of(self, role):
        return [(at, reminder) for at, reminder in self.heard if reminder.role is role]

    def done_at(self, step):
        return next((entry.at for entry in self.entries if entry.step == step), None)

    def started(self, step):
        entry = next(entry for entry in self.entries if entry.step == step)
        return dt.datetime.fromisoformat(entry.details["started"])


@pytest.fixture(scope="module")
def careful():
    return Week()


def test_the_four_coats_are_done_in_the_week(careful):
    assert all(careful.done_at(f"coat-{number}") for number in (1, 2, 3, 4))


def test_nothing_rings_twice(careful):
    times = Counter(reminder.uid for _, reminder in careful.heard)
    assert set(times.values()) == {1}


def test_every_session_is_told_of_an_hour_ahead(careful):
    sessions = careful.heard_of(Role.SESSION)
    told = {step: at for at, reminder in sessions for step in reminder.steps}
    for entry in careful.entries:
        step = f"bench/slats/1/{entry.step}"
        ahead = careful.started(entry.step) - told[step]
        assert dt.timedelta(hours=1) <= ahead < dt.timedelta(hours=11), entry.step
    assert all(at == reminder.alarm_at for at, reminder in sessions)


def test_each_recoat_is_told_of_once_it_is_safe_and_not_in_the_night(careful):
    opens = {
        reminder.steps[0]: (at, reminder) for at, reminder in careful.heard_of(Role.RECOAT_OPENS)
    }
    for number in (2, 3, 4):
        at, reminder = opens[f"bench/slats/1/coat-{number}"]
        safe = careful.done_at(f"coat-{number - 1}") + dt.timedelta(hours=24)
        assert abs(reminder.start - safe) <= dt.timedelta(minutes=1)
        assert reminder.start <= at <= reminder.start + dt.timedelta(hours=10)


def test_each_wipe_off_is_told_of_as_it_begins_and_the_rags_as_the_work_ends(careful):
    wiped = {reminder.steps[0]: at for at, reminder in careful.heard_of(Role.WIPE_OFF)}
    rags = [at for at, _ in careful.heard_of(Role.RAGS)]
    for number in (1, 2, 3, 4):
        assert wiped[f"bench/slats/1/wipe-off-{number}"] == careful.started(f"wipe-off-{number}")
        over = careful.done_at(f"wipe-off-{number}")
        assert any(over <= at <= over + TICK for at in rags)


def test_nothing_is_told_of_that_was_done(careful):
    for at, reminder in careful.heard:
        if reminder.role in (Role.RAGS, Role.CHECK):
            continue  # these are about what was done
        done = [careful.done_at(step.rsplit("/", 1)[1]) for step in reminder.steps]
        assert not all(hour is not None and hour < at for hour in done), reminder.title


def test_nothing_rings_in_the_quiet_hours_but_the_work_going_on(careful):
    for at, reminder in careful.heard:
        quiet = quiet_stretch(at, SETTINGS.quiet_from, SETTINGS.quiet_until, OSLO)
        assert quiet is None or reminder.role in IN_THE_SHOP


def test_an_evening_missed_moves_the_rest_and_the_next_evening_is_told_anew(careful):
    wednesday = dt.date(2026, 10, 7)
    week = Week(away=lambda at: at.date() == wednesday, days=5)
    on_time = careful
    assert week.done_at("coat-1") == on_time.done_at("coat-1")
    assert week.done_at("coat-2") > on_time.done_at("coat-2")
    days = {at.date() for at, r in week.heard_of(Role.SESSION) if "bench/slats/1/coat-2" in r.steps}
    assert days == {wednesday, wednesday + dt.timedelta(days=1)}
    assert set(Counter(alarm_key(reminder) for _, reminder in week.heard).values()) == {1}
    evening = [at for at, r in week.heard if at.date() == wednesday and r.role is Role.SESSION]
    assert len(evening) == 1, "the evening goes by without ringing on and on"


def test_what_should_have_rung_while_the_machine_slept_rings_on_waking():
    tuesday = dt.datetime(2026, 10, 6, 15, 0, tzinfo=dt.UTC)
    wakes = tuesday + dt.timedelta(hours=2)
    week = Week(asleep=lambda at: tuesday <= at < wakes, days=2)
    session = [at for at, r in week.heard_of(Role.SESSION) if "bench/slats/1/coat-1" in r.steps]
    assert session == [wakes]


def test_a_coat_put_on_early_is_not_called_for_and_the_next_one_moves_with_it():
    noon = dt.datetime(2026, 10, 6, 10, 0, tzinfo=dt.UTC)
    week = Week(early={noon: ("coat-1",), noon + 2 * TICK: ("wipe-off-1",)}, days=3)
    assert week.done_at("coat-1") == noon
    called = {step for at, r in week.heard_of(Role.SESSION) if at >= noon for step in r.steps}
    assert "bench/slats/1/coat-1" not in called
    ((_, opens),) = [
        (at, r) for at, r in week.heard_of(Role.RECOAT_OPENS) if r.steps[0].endswith("coat-2")
    ]
    assert abs(opens.start - (noon + dt.timedelta(hours=24))) <= dt.timedelta(minutes=1)


BOTH_SIDES = request(project(batch(template="varnished door")), shop=workshop(EVENINGS), now=MONDAY)


@pytest.fixture(scope="module")
def door():
    return Week(days=19, asked=BOTH_SIDES)


def test_of_work_on_both_sides_each_thing_is_told_once_and_none_is_forgotten(door):
    assert door.done_at("assemble") is not None, "the work is done in these days"
    assert set(Counter(reminder.uid for _, reminder in door.heard).values()) == {1}
    told = {(one.role, step) for _, one in door.heard for step in one.steps}
    for step in door.plan.steps:
        if not step.done or step.kind in WAITING_KINDS:
            continue
        assert (Role.SESSION, step.id) in told, step.id
        if step.kind is StepKind.TURN and step.waits_for is not None:
            assert (Role.TURN, step.id) in told
        if step.kind is StepKind.ASSEMBLE:
            assert (Role.ASSEMBLE, step.id) in told
    bought = door.heard_of(Role.BUY)
    assert bought, "the finish is bought"
    first = min(entry.at for entry in door.entries if entry.step.startswith(("seal", "coat")))
    assert all(at < first for at, _ in bought)


def test_of_work_on_both_sides_nothing_is_told_too_early_too_late_or_in_the_night(door):
    for at, reminder in door.heard:
        assert reminder.alarm_at <= at < reminder.end
        if reminder.role in MAKES_READY:
            assert at >= reminder.start, "never before the safe hour, or the likely one of a check"
        if reminder.role not in IN_THE_SHOP:
            assert quiet_stretch(at, SETTINGS.quiet_from, SETTINGS.quiet_until, OSLO) is None
        if reminder.role in (Role.RAGS, Role.CHECK):
            continue
        done = [door.done_at(step.rsplit("/", 1)[1]) for step in reminder.steps]
        assert not all(hour is not None and hour < at for hour in done), reminder.title
