"""Plans in words: reasons, chains, what moved, slack, why not."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from finplan.air.series import constant
from finplan.journal.entries import Entry, EntryKind
from finplan.journal.progress import Done, Progress
from finplan.planning.ask import slack, why_not
from finplan.planning.changes import changes
from finplan.planning.explain import why
from finplan.planning.kept import kept
from finplan.planning.make import make_plan
from finplan.trade.errors import BadInput
from finplan.trade.steps import StepKind
from tests.unit.planning.shops import (
    ALL_HOURS,
    EVENINGS,
    NOW,
    SATURDAYS,
    batch,
    bench,
    cold_until_friday,
    project,
    request,
    workshop,
)
from tests.unit.planning.test_forward_plans import by_key, done_fact, facts_until

OSLO = ZoneInfo("Europe/Oslo")
HOUR = dt.timedelta(hours=1)


@pytest.fixture(scope="module")
def asked():
    return request(shop=workshop(EVENINGS))


@pytest.fixture(scope="module")
def plan(asked):
    return make_plan(asked)


def test_the_reason_names_the_stage_with_both_times_and_the_hours(plan):
    reason = by_key(plan, "coat-3").reason
    assert "is dry to recoat: safe" in reason
    assert "likely" in reason
    assert "the next work hours are at" in by_key(plan, "coat-1").reason
    assert "are too short: it takes 1 h 45 min with the dusting" in by_key(plan, "coat-4").reason


def test_the_chain_leads_back_to_the_first_step(plan):
    answer = why(plan, by_key(plan, "release").id)
    keys = [step.step for step in answer.chain]
    assert keys[-1] == "release"
    assert keys[-2] == "coat-4"
    assert keys[0] == plan.steps[0].step
    assert all(a.start <= b.start for a, b in zip(answer.chain, answer.chain[1:], strict=False))


def test_an_unknown_step_is_bad_input(plan):
    with pytest.raises(BadInput, match="no step 'bench/slats/1/coat-9'"):
        why(plan, "bench/slats/1/coat-9")


def test_nothing_moved_says_nothing(plan):
    assert changes(kept(plan), plan, OSLO) == ()


def test_a_late_coat_is_told_with_what_follows(asked, plan):
    progress = facts_until(plan, "coat-1")
    key = ("slats", 1, "coat-1")
    done = progress.done[key]
    late = replace(done, started=done.started + 26 * HOUR, ended=done.ended + 26 * HOUR)
    new = make_plan(
        replace(
            asked,
            progress={"bench": replace(progress, done={**progress.done, key: late})},
            now=late.ended,
        )
    )
    told = [one.sentence for one in changes(kept(plan), new, OSLO)]
    assert any(line.startswith("bench is safely ready") and "later" in line for line in told)
    assert any("Coat 2" in line and "because “Coat 1" in line for line in told)


def test_the_last_coat_has_no_slack_and_the_first_sanding_of_a_slow_plan_has(asked, plan):
    assert slack(asked, plan, by_key(plan, "coat-4").id) < 3 * HOUR
    assert slack(asked, plan, by_key(plan, "install").id) > 24 * HOUR


def test_why_not_tells_what_stands_against_an_hour(asked, plan):
    coat = by_key(plan, "coat-2")
    early = why_not(asked, plan, coat.id, coat.start - 20 * HOUR)
    assert not early.possible
    assert "dry to recoat" in early.sentence or "nobody has work hours" in early.sentence
    at_night = why_not(asked, plan, coat.id, coat.start + 8 * HOUR)
    assert not at_night.possible
    assert "nobody has work hours then; the next are at" in at_night.sentence
    day_after = why_not(asked, plan, coat.id, coat.start + 24 * HOUR)
    assert day_after.possible
    assert by_key(day_after.plan, "coat-2").start == coat.start + 24 * HOUR


def test_unfit_air_is_named_as_the_reason():
    asked = request(shop=workshop(ALL_HOURS), air=cold_until_friday())
    reason = by_key(make_plan(asked), "seal").reason
    assert "the surface is too near the dew point" in reason  # the wood is still cold on Friday


def test_a_long_coat_is_coated_and_wiped_in_groups():
    many = request(project(parts=(bench(40),)), shop=workshop(ALL_HOURS, 20.0))
    plan = make_plan(many)
    coat, wipe = by_key(plan, "coat-1"), by_key(plan, "wipe-off-1")
    group = int(15 * 40 / coat.minutes)
    assert coat.minutes > 30
    assert group >= 2
    assert f"work in groups of about {group} pieces" in wipe.reason
    assert "wiped 15 to 30 min after its coat" in wipe.reason
    few = make_plan(request(project(parts=(bench(1),))))
    assert "groups" not in by_key(few, "wipe-off-1").reason


def test_a_coat_that_fits_no_evening_says_how_long_it_takes_with_its_wiping():
    asked = request(project(parts=(bench(40),)), shop=workshop(EVENINGS, 20.0))
    reason = by_key(make_plan(asked), "coat-2").reason
    assert "the work hours until then are too short: it takes" in reason
    assert "with the dusting off before it and the wiping after it" in reason


def test_scuffing_that_comes_in_names_the_window_that_closes():
    asked = request(
        project(batch(template="oiled worktop")),
        shop=workshop(SATURDAYS),
    )
    scuffs = [step for step in make_plan(asked).steps if step.kind is StepKind.SCUFF]
    assert scuffs
    assert scuffs[0].reason.startswith("Needed since the recoat window of “Coat 1 of hardwax oil")


def test_scuffing_left_out_under_a_coat_is_not_called_unneeded():
    asked = request(
        project(batch(template="oiled worktop")),
        shop=workshop(SATURDAYS),
    )
    old = make_plan(asked)
    scuff = next(step for step in old.steps if step.kind is StepKind.SCUFF)
    coat = next(
        step for step in old.steps if step.kind is StepKind.COAT and step.coat == scuff.coat
    )
    assert coat.start >= scuff.end
    facts = facts_until(old, coat.step)
    key = (scuff.batch, scuff.load, scuff.step)
    passed = replace(facts.done[key], skipped=True, started=coat.start, ended=coat.start)
    facts = replace(facts, done={**facts.done, key: passed})
    new = make_plan(replace(asked, progress={"bench": facts}, now=coat.end))
    (told,) = [one.sentence for one in changes(kept(old), new, OSLO) if one.step == scuff.id]
    assert told.startswith("“Scuff") and "is left out: “Coat 2" in told
    assert told.endswith("went on without it.")
    early = make_plan(replace(asked, workshop=workshop(ALL_HOURS)))
    (told,) = [one.sentence for one in changes(kept(old), early, OSLO) if one.step == scuff.id]
    assert told.endswith("is no longer needed.")


def test_scuffing_that_a_person_leaves_out_stays_in_the_plan_as_left_out():
    asked = request(
        project(batch(template="oiled worktop")),
        shop=workshop(SATURDAYS),
    )
    old = make_plan(asked)
    scuff = next(step for step in old.steps if step.kind is StepKind.SCUFF)
    facts = facts_until(old, "wipe-off-1-second")
    now = max(done.ended for done in facts.done.values()) + HOUR
    key = (scuff.batch, scuff.load, scuff.step)
    entry = Entry(uuid.UUID(int=9), "bench", EntryKind.STEP_SKIPPED, now, now)
    entry = replace(entry, batch=key[0], load=key[1], step=key[2])
    facts = replace(facts, done={**facts.done, key: Done(now, now, True, entry)})
    new = make_plan(replace(asked, progress={"bench": facts}, now=now))
    shown = by_key(new, scuff.step)
    assert (shown.done, shown.skipped, shown.start) == (True, True, now)
    assert scuff.id not in [one.step for one in changes(kept(old), new, OSLO)]


def test_a_wish_that_would_miss_a_window_is_refused_for_that():
    door = project(batch(template="varnished door"))
    door = request(door, shop=workshop(EVENINGS), air=constant(21.0, 60.0))
    plan = make_plan(door)
    clean = by_key(plan, "clean-1")
    answer = why_not(door, plan, clean.id, clean.start + 48 * HOUR)
    assert not answer.possible
    assert "the recoat window of “Seal end grain and screw holes” (slats)" in answer.sentence
    assert answer.short.endswith("by brush, second side” (slats) could go on.")


def test_work_put_off_is_said_to_be(asked):
    begins = NOW + dt.timedelta(days=5)
    later = make_plan(request(replace(asked.projects[0], begins=begins), shop=asked.workshop))
    assert later.steps[0].reason.startswith("Is not to begin before Sat 10 Oct")


def test_slack_is_what_the_plan_before_does_not_hide(asked, plan):
    again = replace(asked, before=kept(plan))
    for key in ("sand", "coat-4", "wipe-off-4"):
        assert slack(again, make_plan(again), by_key(plan, key).id) < 48 * HOUR


def test_a_coat_still_wet_is_named_where_it_takes_no_dust():
    first = make_plan(request(shop=workshop(ALL_HOURS)))
    facts = facts_until(first, "wipe-off-1")
    two = project(batch("slats"), batch("more"), assembled_together=False)
    now = by_key(first, "wipe-off-1").end
    later = request(two, shop=workshop(ALL_HOURS), progress={"bench": facts}, now=now)
    ease = next(s for s in make_plan(later).steps if s.step == "prepare" and s.batch == "more")
    assert "its dust would fall on the coat on slats, wet until" in ease.reason
    assert ease.reason.startswith("Nothing holds it up, but ")


def test_a_coat_left_wet_is_to_be_wiped_at_once():
    asked = request(shop=workshop(EVENINGS))
    plan = make_plan(asked)
    coat, wiping = by_key(plan, "coat-1"), by_key(plan, "wipe-off-1")
    begun = {"bench": facts_until(plan, "coat-1")}
    in_time = make_plan(replace(asked, progress=begun, now=coat.end))
    assert not any("left wet is to be wiped off" in words for words in in_time.warnings)
    night = wiping.start + 5 * HOUR
    (told,) = make_plan(replace(asked, progress=begun, now=night)).warnings
    by = (coat.end + HOUR / 2).astimezone(asked.told_in)
    assert told == (
        "what “Coat 1 of penetrating oil, by rag” (slats) left wet is to be wiped off by "
        f"{by:%a} {by.day} {by:%b %H:%M}: do it at once, outside work hours too"
    )


def test_a_warning_names_the_project_where_there_are_several():
    one, other = project(), project(name="stool")
    asked = request(one, other, shop=workshop(EVENINGS))
    plan = make_plan(asked)
    coat = next(step for step in plan.steps if step.step == "coat-1" and step.project == "stool")
    facts = {
        (step.batch, step.load, step.step): done_fact(step)
        for step in plan.steps
        if step.project == "stool" and step.end <= coat.end
    }
    later = replace(asked, progress={"stool": Progress(done=facts)}, now=coat.end + 6 * HOUR)
    assert any("(slats) of Stool left wet" in words for words in make_plan(later).warnings)


def test_somebody_busy_since_another_day_is_so_just_before():
    three = project(batch("slats"), batch("more"), batch("rest"), assembled_together=False)
    plan = make_plan(request(three, shop=workshop(EVENINGS)))
    words = {"until then Ada is busy": set(), "just before it Ada is busy": set()}
    for step in plan.steps:
        own = [one for one in plan.steps if one.batch == step.batch and one.end <= step.start]
        ended = [one.end for one in own if one.kind is not StepKind.CLEAN]
        free = step.waits_for.safe if step.waits_for is not None else max(ended, default=NOW)
        for said, days in words.items():
            if said in step.reason:
                days.add((step.start.date() - free.date()).days)
    assert 0 in words["until then Ada is busy"]
    assert words["until then Ada is busy"] <= {0, 1}  # dry by the evening, or in the night before
    assert min(words["just before it Ada is busy"]) >= 1


def test_a_coat_recorded_with_what_comes_before_it_is_what_moved_the_wiping():
    asked = request(shop=workshop(EVENINGS))
    plan = make_plan(asked)
    at_once = by_key(plan, "prepare").end
    facts = {}
    for step in plan.steps:
        entry = Entry(uuid.UUID(int=7), "bench", EntryKind.STEP_DONE, at_once, at_once)
        facts[step.batch, step.load, step.step] = Done(at_once, at_once, False, entry)
        if step.step == "coat-1":
            break
    early = make_plan(replace(asked, progress={"bench": Progress(done=facts)}, now=at_once))
    told = {one.step: one.because for one in changes(kept(plan), early, OSLO)}
    assert told[by_key(plan, "wipe-off-1").id].startswith("“Coat 1 of penetrating oil")
