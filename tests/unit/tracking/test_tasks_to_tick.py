"""Hands-on steps as tasks: what is left to do, by when, with what; ringing nothing."""

from finplan.tracking.reminder import GOVERNS, ReminderNotes, ReminderSettings, Role
from finplan.tracking.tasks import tasks_of
from tests.unit.tracking.bench import BENCH, CAUTIONS, after, bench_plan, bench_request

NOTES = ReminderNotes({"bench/slats/1/coat-1": 0.45}, CAUTIONS)


def tasks(settings=None, **changes):
    plan = bench_plan(**changes)
    return tasks_of(plan, bench_request(), settings or ReminderSettings(), NOTES)


def test_each_hands_on_step_is_a_task_and_waiting_is_none():
    keys = [task.key.removeprefix("task/slats/1/") for task in tasks()]
    assert keys == ["sand", "coat-1", "wipe-1", "coat-2", "assemble"]


def test_what_is_done_is_no_task_any_more():
    assert tasks(done=("sand", "coat-1"))[0].key == "task/slats/1/wipe-1"


def test_a_task_says_what_with_what_by_when_and_what_to_mind():
    coat = next(task for task in tasks() if task.key.endswith("coat-1"))
    assert coat.title == "Bench: First coat (slats)"
    assert (coat.start, coat.end) == (after(1.5), after(2.5))
    for words in ("Penetrating oil", "450 ml", "rag", "1 h", "Sat 3 Oct 10:30", GOVERNS):
        assert words in coat.text
    assert "Oily rags heat up" in coat.text


def test_tasks_ring_nothing_take_no_time_and_stand_apart_from_the_reminders():
    for task in tasks():
        assert (task.alarm_at, task.busy, task.role) == (None, False, Role.TASK)
        assert task.project == "tasks/bench"
        assert task.project_uid == BENCH.uid
        assert len(task.steps) == 1


def test_who_wants_no_tasks_gets_none():
    assert tasks(ReminderSettings(silent=frozenset({Role.TASK}))) == ()
