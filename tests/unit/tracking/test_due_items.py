"""What is due, and how pressing it is."""

import datetime as dt

import pytest

from finplan.tracking.due import DueState, due_items
from finplan.trade.errors import BadInput
from tests.unit.tracking.bench import after, bench_plan

DAY = dt.timedelta(days=1)


def states(items):
    return {item.step: item.state for item in items if item.state is not DueState.CLOSING}


def test_work_to_come_is_soon_and_work_under_way_is_now():
    items = due_items(bench_plan(), after(1.0), DAY)
    assert states(items) == {
        "sand": DueState.NOW,
        "coat-1": DueState.SOON,
        "wipe-1": DueState.SOON,
    }


def test_what_an_older_plan_wanted_by_now_is_overdue_and_stands_first():
    items = due_items(bench_plan(), after(2.0), DAY)
    assert items[0].step == "sand"
    assert items[0].state is DueState.OVERDUE
    assert states(items)["coat-1"] is DueState.NOW


def test_done_steps_are_not_due():
    items = due_items(bench_plan(done=("sand", "coat-1", "wipe-1")), after(4.0), DAY)
    assert items == ()


def test_a_window_that_closes_says_from_when_and_until_when_the_next_coat_goes_on():
    items = due_items(bench_plan(done=("sand", "coat-1", "wipe-1")), after(51.0), DAY)
    closing = next(item for item in items if item.state is DueState.CLOSING)
    assert (closing.step, closing.at, closing.until) == ("coat-2", after(26.5), after(74.5))
    assert "Second coat: slats" in closing.what
    stood = bench_plan(done=("sand", "coat-1", "wipe-1"))

    def closes_seen_from(hours: float) -> bool:
        return any(one.state is DueState.CLOSING for one in due_items(stood, after(hours), DAY))

    assert [closes_seen_from(at) for at in (50.4, 50.5, 74.4, 74.5)] == [False, True, True, False]
    over = due_items(bench_plan(done=("sand", "coat-1", "wipe-1", "coat-2")), after(60.0), DAY)
    assert not any(item.state is DueState.CLOSING for item in over)


def test_a_cure_reached_is_there_now_not_overdue():
    done = ("sand", "coat-1", "wipe-1", "coat-2", "assemble")
    assert states(due_items(bench_plan(done=done), after(401.0), DAY)) == {"release": DueState.NOW}


def test_naive_hours_and_negative_stretches_are_refused():
    with pytest.raises(BadInput, match="no time zone"):
        due_items(bench_plan(), dt.datetime(2026, 10, 3), DAY)  # noqa: DTZ001
    with pytest.raises(BadInput, match="negative"):
        due_items(bench_plan(), after(0), -DAY)
