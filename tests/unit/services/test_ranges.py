"""The ranges of a plan are looked for no longer than ten seconds, and shown from fifty runs on."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from finplan.services import chance
from finplan.services.planned import planned

ENOUGH, TOO_FEW, ALL = 50, 49, 100


class Clock:
    """Stands at the last moment in time, then, after so many runs, just past it.

    It is asked once at the start and once after every run.
    """

    def __init__(self, in_time: int) -> None:
        self.in_time = in_time
        self.asked = -1

    @property
    def runs(self) -> int:
        return self.asked

    def monotonic(self) -> float:
        self.asked += 1
        if self.asked == 0:
            return 1000.0
        return 1010.0 if self.asked < self.in_time else 1010.001


@pytest.fixture
def clock(monkeypatch):
    def set_to(in_time):
        found = Clock(in_time)
        monkeypatch.setattr(chance, "time", SimpleNamespace(monotonic=found.monotonic))
        return found

    return set_to


def test_after_ten_seconds_no_more_runs_are_made_and_fifty_are_enough(session, clock):
    now = clock(in_time=ENOUGH)
    (likely,) = chance.ranges(session, planned(session)).values()
    assert now.runs == ENOUGH
    assert likely.early < likely.late


def test_one_run_fewer_shows_no_range(session, clock):
    now = clock(in_time=TOO_FEW)
    assert chance.ranges(session, planned(session)) == {}
    assert now.runs == TOO_FEW


def test_where_time_allows_a_hundred_runs_are_made_and_no_more(session, clock):
    now = clock(in_time=10 * ALL)
    assert chance.ranges(session, planned(session))
    assert now.runs == ALL


def test_what_is_no_longer_wanted_ends_after_the_run_at_hand(session, clock):
    now = clock(in_time=ALL)
    wanted = iter([True, True, False, False])
    assert chance.ranges(session, planned(session), lambda: not next(wanted)) == {}
    assert now.runs == 3
