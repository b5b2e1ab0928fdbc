"""A finishing schedule changed step by step stays one that can be done."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finplan.library.load import finishes, grits, templates
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.schedule_checks import check_steps
from finplan.trade.schedule_edits import (
    belonging,
    moved_step,
    new_step,
    renumbered,
    with_coat_again,
    with_step,
    without_step,
)
from finplan.trade.schedules import Sides, expand
from finplan.trade.steps import Side, Step, StepKind

COATS = (
    Step("sand", StepKind.SAND, "Sand P120", grits=("P120",), minutes_per_m2=20),
    Step("clean-1", StepKind.CLEAN, "Blow and wipe the dust off"),
    Step("coat-1", StepKind.COAT, "Coat 1 of oil, rag", 1, finish="oil", minutes_fixed=15),
    Step("wipe-off-1", StepKind.WIPE_OFF, "Wipe off what coat 1 left wet", 1, finish="oil"),
    Step("clean-2", StepKind.CLEAN, "Dust off before coat 2", 2, waits_for=Stage.TACK_FREE),
    Step(
        "coat-2", StepKind.COAT, "Coat 2 of oil, rag", 2, finish="oil",
        waits_for=Stage.DRY_TO_RECOAT, minutes_fixed=15,
    ),
    Step("wipe-off-2", StepKind.WIPE_OFF, "Wipe off what coat 2 left wet", 2, finish="oil"),
    Step("release", StepKind.RELEASE, "Release to service", waits_for=Stage.FULL_CURE),
)  # fmt: skip


def keys(steps):
    return [step.key for step in steps]


def coats(steps):
    return [(step.key, step.coat) for step in steps if step.kind is StepKind.COAT]


def test_a_whole_coat_comes_behind_the_last_with_all_that_belongs_to_it():
    steps = with_coat_again(COATS)
    assert keys(steps)[4:] == [
        "clean-2", "coat-2", "wipe-off-2", "clean-3", "coat-3", "wipe-off-3", "release",
    ]  # fmt: skip
    assert [step.title for step in steps[7:10]] == [
        "Dust off before coat 3", "Coat 3 of oil, rag", "Wipe off what coat 3 left wet",
    ]  # fmt: skip
    assert {step.coat for step in steps[7:10]} == {3}


def test_a_second_coat_is_dusted_off_for_and_waits_though_the_first_did_not():
    steps = with_coat_again((*COATS[:4], COATS[-1]))
    assert keys(steps)[4:] == ["clean-2", "coat-2", "wipe-off-2", "release"]
    assert (steps[4].waits_for, steps[5].waits_for) == (Stage.TACK_FREE, Stage.DRY_TO_RECOAT)


def test_keys_the_journal_knows_are_not_used_again():
    steps = with_coat_again(COATS, taken={"coat-3"})
    assert "coat-3-2" in keys(steps) and "coat-3" not in keys(steps)


def test_a_coat_is_taken_out_with_all_that_belongs_to_it_and_the_rest_counted_anew():
    steps = without_step(with_coat_again(COATS), "coat-2")
    assert keys(steps) == [
        "sand", "clean-1", "coat-1", "wipe-off-1", "clean-3", "coat-3", "wipe-off-3", "release",
    ]  # fmt: skip
    assert coats(steps) == [("coat-1", 1), ("coat-3", 2)]
    assert steps[5].title == "Coat 2 of oil, rag"
    assert steps[4].title == "Dust off before coat 2"


def test_another_step_is_taken_out_alone():
    assert belonging(COATS, "clean-2") == ("clean-2",)
    assert "coat-2" in keys(without_step(COATS, "clean-2"))


def test_a_coat_moves_with_its_wiping_off_and_takes_the_number_of_its_place():
    steps = moved_step(moved_step(COATS, "coat-2", -1), "coat-2", -1)
    assert keys(steps) == [
        "sand", "clean-1", "coat-2", "wipe-off-2", "coat-1", "wipe-off-1", "clean-2", "release",
    ]  # fmt: skip
    assert coats(steps) == [("coat-2", 1), ("coat-1", 2)]
    assert [s.title for s in steps if s.kind is StepKind.COAT] == [
        "Coat 1 of oil, rag", "Coat 2 of oil, rag",
    ]  # fmt: skip


def test_wiping_off_is_not_moved_alone_and_ends_are_ends():
    with pytest.raises(BadInput, match="goes with its coat"):
        moved_step(COATS, "wipe-off-1", -1)
    with pytest.raises(BadInput, match="first already"):
        moved_step(COATS, "sand", -1)
    with pytest.raises(BadInput, match="last already"):
        moved_step(COATS, "release", 1)


def test_a_new_step_begins_as_the_last_of_its_kind_before_it():
    step = new_step(COATS, "coat-2", StepKind.COAT, {})
    assert (step.key, step.finish, step.minutes_fixed) == ("coat", "oil", 15)
    steps = with_step(COATS, "wipe-off-2", step)
    assert coats(steps)[-1] == ("coat", 3)
    assert next(s for s in steps if s.key == "coat").title == "Coat 3"


def test_a_new_kind_begins_with_the_usual_minutes_and_waits_for_what_it_should():
    minutes = next(iter(templates().values())).minutes
    step = new_step(COATS, "clean-2", StepKind.SCUFF, minutes)
    assert step.waits_for is Stage.DRY_THROUGH
    assert step.minutes_fixed == minutes["scuff"].fixed
    assert new_step(COATS, "sand", StepKind.SEAL, minutes).finish == "oil"


def test_a_step_that_is_gone_is_named():
    with pytest.raises(BadInput, match="not in the finishing schedule"):
        without_step(COATS, "coat-9")


def test_both_sides_of_a_coat_keep_one_number():
    template = replace(next(iter(templates().values())), sides=Sides.TURNED)
    steps = with_coat_again(expand(template, finishes()[template.finish]))
    last = round(template.coats.value) + 1
    sides = [(step.coat, step.side) for step in steps if step.kind is StepKind.COAT]
    assert sides[-2:] == [(last, Side.FIRST), (last, Side.SECOND)]
    check_steps(steps, finishes(), grits())


@pytest.mark.parametrize("name", sorted(templates()))
def test_numbering_anew_leaves_a_schedule_of_the_library_as_it_is(name):
    template = templates()[name]
    steps = expand(template, finishes()[template.finish])
    assert renumbered(steps) == steps


@settings(max_examples=60)
@given(st.sampled_from(sorted(templates())), st.lists(st.integers(0, 999), max_size=6))
def test_coats_always_count_from_one_whatever_is_changed(name, picks):
    template = templates()[name]
    steps = expand(template, finishes()[template.finish])
    for pick in picks:
        key = steps[pick % len(steps)].key
        try:
            change = pick % 4
            if change == 0:
                steps = with_coat_again(steps)
            elif change == 1:
                steps = without_step(steps, key) if len(steps) > 9 else steps
            else:
                steps = moved_step(steps, key, 1 if change == 2 else -1)
        except BadInput:
            continue
    assert len(set(keys(steps))) == len(steps)
    numbers = [s.coat for s in steps if s.kind is StepKind.COAT and s.side is not Side.SECOND]
    assert numbers == list(range(1, len(numbers) + 1))


@pytest.mark.parametrize("name", sorted(templates()))
def test_a_coat_more_can_be_done_and_brings_no_new_advice_but_the_count(name):
    template = templates()[name]
    steps = expand(template, finishes()[template.finish])
    before = check_steps(steps, finishes(), grits())
    after = check_steps(with_coat_again(steps), finishes(), grits())
    assert [one for one in after if one not in before and "usual" not in one] == []
