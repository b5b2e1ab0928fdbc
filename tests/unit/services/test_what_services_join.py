"""Services join the rooms: plan, record, look, learn."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from finplan.planning.request import NoPlan
from finplan.services.air import add_reading, space_air
from finplan.services.calendar import export_calendar
from finplan.services.dry import dry
from finplan.services.due import due
from finplan.services.editing import edit_project
from finplan.services.finishes import facts_of, list_finishes
from finplan.services.installing import blocked_from
from finplan.services.journal import correct, entries_of, find_entry
from finplan.services.litres import litres_by_step
from finplan.services.materials import materials
from finplan.services.moist import moist_air
from finplan.services.outlook import outlook
from finplan.services.overview import overview
from finplan.services.planned import all_planned, planned
from finplan.services.projects import (
    add_parts,
    list_projects,
    project_with_version,
    put_aside,
)
from finplan.services.record import StepRef, add_note, record_check, record_step, wish
from finplan.services.session import open_session, parse_now
from finplan.services.undoing import Meant, redo_last, undo_last
from finplan.store.base import StaleWrite
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.steps import StepKind

MORNING = dt.datetime(2026, 10, 5, 6, tzinfo=dt.UTC)


def coat_one(session):
    record_step(session, StepRef("bench", "pieces", 1, "seal"), at=MORNING)
    at = MORNING + dt.timedelta(hours=1)
    return record_step(session, StepRef("bench", "pieces", 1, "coat-1"), at=at, amount_l=0.2)


def test_a_clock_that_stands_still_keeps_the_order_of_what_is_written(session):
    for number in range(20):
        add_note(session, "bench", f"note {number}")
    undo_last(session)
    undo_last(session, Meant(["bench"]))
    redo_last(session)
    listed = entries_of(session, "bench")
    assert [one.entry.details["note"] for one in listed[:20]] == [f"note {n}" for n in range(20)]
    assert [one.undone for one in listed[17:20]] == [False, False, True]
    times = [one.entry.recorded_at for one in listed]
    assert len(set(times)) == len(times)


def test_a_refused_entry_leaves_nothing(session):
    stamp = session.store.change_stamp()
    with pytest.raises(BadInput):
        record_step(session, StepRef("bench", "pieces", 1, "coat-1"), at=MORNING)
    with pytest.raises(BadInput):
        wish(session, StepRef("bench", "pieces", 1, "coat-1"), session.now + dt.timedelta(hours=9))
    assert session.store.change_stamp() == stamp
    assert entries_of(session) == ()


def test_the_plan_is_the_same_however_often_it_is_made(session):
    coat_one(session)
    assert planned(session).plan == planned(session, ["bench"]).plan


def test_a_coat_that_dries_is_in_the_overview(session, at):
    coat_one(session)
    seen = overview(at("2026-10-05T15:00+02:00"))
    (drying,) = [one for one in seen.drying if one.step.endswith("/coat-1")]
    assert drying.ended == MORNING + dt.timedelta(hours=1)
    assert 0.0 < drying.safe_share < 1.0
    assert drying.safe > drying.likely > seen.now
    assert drying.goal is Stage.DRY_TO_RECOAT
    later = overview(at("2026-10-05T18:00+02:00"))
    assert [o.safe_share for o in later.drying if o.step == drying.step] > [drying.safe_share]
    (air,) = seen.air
    assert air.source == "normals"
    assert [one.finish for one in air.advice] == ["penetrating oil"]


def test_tonight_is_one_session_in_order(session):
    tonight = overview(session).tonight
    assert tonight
    assert all(step.start.date() == dt.date(2026, 10, 5) for step in tonight)
    assert [step.start for step in tonight] == sorted(step.start for step in tonight)


def test_a_state_for_each_project(session, at):
    (planned_one,) = list_projects(session)
    assert (planned_one.state, planned_one.done_steps) == ("planned", 0)
    coat_one(session)
    (one,) = list_projects(at("2026-10-05T12:00+02:00"))
    assert one.state in ("drying", "under way")
    assert one.done_steps >= 2


def test_nothing_dries_before_the_first_coat_and_after_it_something_does(session, at):
    def state(of):
        return list_projects(of)[0].state

    record_step(session, StepRef("bench", "pieces", 1, "prepare"), at=MORNING)
    assert state(at("2026-10-06T00:00+02:00")) == "under way"
    coat_one(session)
    assert state(at(MORNING + dt.timedelta(hours=3))) == "drying"
    assert state(at(MORNING + dt.timedelta(days=40))) == "under way"


def test_a_check_moves_only_what_hangs_on_it(session, at):
    coat_one(session)
    later = at("2026-10-08T18:00+02:00")
    before = planned(later).clock("penetrating oil", "shed").belief
    record_check(
        later, StepRef("bench", "pieces", 1, "coat-1"), stage=Stage.DRY_TO_RECOAT, reached=False
    )
    after = planned(later).clock("penetrating oil", "shed").belief
    assert after.median > before.median


def test_overdue_is_what_the_plan_had_when_last_written_to(session, at):
    record_step(session, StepRef("bench", "pieces", 1, "prepare"), at=session.now)
    assert [one for one in due(session) if one.item.state == "overdue"] == []
    night = due(at("2026-10-05T23:00+02:00"))
    overdue = [one.item for one in night if one.item.state == "overdue"]
    assert overdue[0].step == "sand"
    assert all(item.until <= at("2026-10-05T23:00+02:00").now for item in overdue)
    steps = [one.item.step for one in night]
    assert len(steps) == len(set(steps))


def test_a_project_that_cannot_be_planned_does_not_stop_the_others(session):
    made, _ = project_with_version(session, "bench")
    (batch,) = made.batches
    endless = tuple(
        dataclasses.replace(step, minutes_fixed=60.0 * 20) if step.kind is StepKind.COAT else step
        for step in batch.steps
    )
    other = dataclasses.replace(
        made,
        name="wall",
        uid=type(made.uid)(int=7),
        batches=(dataclasses.replace(batch, steps=endless),),
    )
    with session.store.unit() as unit:
        unit.projects.put(other, 0)
        unit.commit()
    seen = planned(session, ["bench"])
    assert set(seen.projects) == {"bench"}
    (told,) = [one for one in seen.plan.warnings if "left out" in one]
    assert told.startswith("wall is left out of the plan: “")
    assert told.count("wall") == 1
    with pytest.raises(NoPlan):
        planned(session, ["wall"])
    assert {one.name: one.state for one in list_projects(session)}["wall"] == "cannot be planned"


def test_a_stale_change_is_refused(session):
    _, version = project_with_version(session, "bench")

    def titled(title):
        return lambda project: dataclasses.replace(project, title=title)

    edit_project(session, "bench", version, titled("First"), "renamed")
    with pytest.raises(StaleWrite):
        edit_project(session, "bench", version, titled("Second"), "renamed")
    assert project_with_version(session, "bench")[0].title == "First"


def test_put_aside_is_out_of_sight_and_comes_back(session):
    put_aside(session, "bench")
    assert list_projects(session) == ()
    assert all_planned(session) == ()
    with pytest.raises(BadInput, match="no project yet"):
        planned(session)
    put_aside(session, "bench", aside=False)
    assert [one.name for one in list_projects(session)] == ["bench"]


def test_readings_to_come_are_not_known_yet(session, at):
    friday = at("2026-10-09T18:00+02:00")
    add_reading(friday, None, None, 4.0, 80.0)
    stretch = (friday.now - dt.timedelta(hours=1), friday.now + dt.timedelta(hours=2))
    assert 4.0 in space_air(friday, None, None, *stretch).temperature_c
    assert 4.0 not in space_air(session, None, None, *stretch).temperature_c


def test_sessions_of_our_own_in_a_calendar_block_no_day_of_a_piece(session, tmp_path):
    file = tmp_path / "mine.ics"
    export_calendar(session, ["bench"], file)
    assert b"TRANSP:OPAQUE" in file.read_bytes()
    assert blocked_from(session, file, "Europe/Oslo") == ()


def test_an_entry_of_a_project_put_aside_can_be_corrected(session):
    coat_one(session)
    meant = find_entry(session, "bench", "last")
    put_aside(session, "bench")
    assert correct(session, meant, {"amount_l": 0.3}).subject == meant


def test_a_correction_keeps_the_entry(session):
    coat_one(session)
    meant = find_entry(session, "bench", "last")
    told = correct(session, meant, {"amount_l": 0.3})
    assert told.subject == meant
    (need,) = materials(session, "bench").finishes
    assert need.used_l == pytest.approx(0.3)


def test_litres_of_the_loads_add_up_to_those_of_the_project(session):
    seen = planned(session)
    (need,) = materials(session, "bench").finishes
    assert sum(litres_by_step(seen).values()) == pytest.approx(need.litres, rel=1e-6)


def test_parts_of_a_project_there_is_none_of(session, tmp_path):
    with pytest.raises(BadInput, match="did you mean 'bench'"):
        add_parts(session, "benhc", tmp_path / "cut_list.csv")


def test_one_project_s_bound_is_never_later_than_its_date(session):
    seen = planned(session)
    good = outlook(seen, "bench")
    assert good.bound is not None
    assert good.bound <= seen.ready_of("bench").safe


@pytest.mark.parametrize("finish", [f"{number}" for number in range(3)])
def test_every_finish_has_an_answer(session, finish):
    third = int(finish)
    for one in list_finishes(session)[third::3]:
        answer = dry(session, one.name, constant=(20.0, 55.0))
        assert [stage.stage for stage in answer.stages] == [s for s in Stage if s in one.stages]
        for stage in answer.stages:
            assert (stage.likely is None) == (stage.safe is None)
            assert stage.safe is None or answer.start <= stage.likely <= stage.safe
        assert all(fact.source for fact in facts_of(one))


def test_what_a_finish_is_like_is_told_with_its_times(session):
    cold = dry(session, "penetrating oil", constant=(3.0, 50.0))
    assert cold.recoat.safe is None and cold.window_closes is None
    for finish, caution in (("boiled linseed oil", "mildew food"), ("mineral oil", "non-drying")):
        assert caution in {one.key for one in dry(session, finish).cautions}


def test_dew_margin_and_emc():
    # psychrolib 2.5.0, 10 °C and 70 %: dew point 4.79 °C.
    moist = moist_air(10.0, 70.0)
    assert moist.dew_point_c == pytest.approx(4.79, abs=0.05)
    assert moist.margin_c == pytest.approx(10.0 - moist.dew_point_c)
    assert moist.warnings == ()


def test_moments_from_the_environment_are_aware():
    assert parse_now("2026-10-05T18:00:00.5+02:00").utcoffset() == dt.timedelta(0)
    with (
        pytest.raises(BadInput, match="offset"),
        open_session(now=dt.datetime(2026, 10, 5)),  # noqa: DTZ001 - the naive one is refused
    ):
        pass


def test_a_finish_is_told_in_the_units_asked_for():
    from finplan.library.load import finishes
    from finplan.trade.quantities import Units

    told = {f.name: f.value for f in facts_of(finishes()["spar varnish"], Units.IMPERIAL)}
    assert told["coldest advised"] == "50 °F"
    assert told["spread, first coat"] == "407–570 ft²/gal"
    plain = {f.name: f.value for f in facts_of(finishes()["spar varnish"])}
    assert plain["spread, first coat"] == "10–14 m²/L"
