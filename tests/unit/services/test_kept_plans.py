"""The plan people last saw is kept, held to, and compared with."""

from __future__ import annotations

import datetime as dt

from finplan.services.air import add_reading
from finplan.services.keep import keep
from finplan.services.planned import planned
from finplan.services.record import StepRef, record_step
from finplan.services.settled import held_still
from finplan.services.undoing import redo_last, undo_last

MORNING = dt.datetime(2026, 10, 5, 6, tzinfo=dt.UTC)
LATER = "2026-10-08T17:00:00+02:00"


def hours(seen):
    return [(step.id, step.start) for step in seen.plan.steps]


def test_a_loaded_project_has_a_plan_to_compare_with(session):
    seen = planned(session, ["bench"])
    assert seen.request.before is not None
    assert seen.request.before.at == session.now
    assert seen.changes == ()


def test_days_gone_by_without_a_record_show_as_changes(at, session):
    told = planned(at(LATER), ["bench"]).changes
    assert told[0].step == ""
    assert told[0].now > told[0].was
    assert any(one.because == "nothing is recorded of it" for one in told)


def test_what_was_done_when_planned_moves_nothing(at, session):
    prepare = planned(session, ["bench"]).steps_of("bench")[0]
    ref = StepRef("bench", prepare.batch, prepare.load, prepare.step)
    recorded = record_step(at(prepare.end), ref, started=prepare.start, at=prepare.end)
    assert recorded.moved == ()


def test_undo_and_redo_say_what_moves_and_bring_each_plan_back(session):
    before = planned(session, ["bench"])
    ref = StepRef("bench", "pieces", 1, "prepare")
    recorded = record_step(session, ref, at=MORNING)
    after = planned(session, ["bench"])
    assert recorded.moved
    assert undo_last(session).moved
    assert hours(planned(session, ["bench"])) == hours(before)
    assert redo_last(session).moved == recorded.moved
    assert hours(planned(session, ["bench"])) == hours(after)


def test_a_cold_reading_says_what_it_moves(at, session):
    ref = StepRef("bench", "pieces", 1, "seal")
    record_step(session, ref, at=MORNING)
    record_step(session, StepRef("bench", "pieces", 1, "coat-1"), at=MORNING)
    kept = add_reading(at("2026-10-06T08:00:00+02:00"), None, None, 4.0, 60.0)
    dry = "because “Coat 1 of penetrating oil, by rag” (pieces) is dry to recoat"
    assert any(dry in sentence and "later" in sentence for sentence in kept.moved)
    again = planned(at("2026-10-06T08:00:00+02:00"), ["bench"])
    assert again.request.before.summed_up == kept.moved


def test_a_plan_found_by_a_search_holds_for_views_and_reminders(session):
    found = planned(session, ["bench"], seconds=0.5)
    keep(session, found)
    seen = planned(session, ["bench"])
    assert seen.plan.ready == found.plan.ready
    assert hours(held_still(session, seen)) == hours(seen)


def test_a_plan_kept_later_does_not_reach_back(at, session):
    early = at("2026-10-01T08:00:00+02:00")
    assert planned(early, ["bench"]).request.before is None


def test_a_kept_plan_that_cannot_be_read_is_done_without(session):
    with session.store.unit() as unit:
        unit.settings.put("kept plan of shed", {"at": "yesterday"})
        unit.commit()
    assert planned(session, ["bench"]).request.before is None
