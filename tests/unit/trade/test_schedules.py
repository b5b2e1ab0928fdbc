"""From a template to steps, and steps made by hand."""

import dataclasses
import itertools
import re

import pytest

from finplan.library.load import finishes, grits, templates
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.numbers import Number
from finplan.trade.schedule_checks import check_steps
from finplan.trade.schedules import Scuffing, Sides, expand
from finplan.trade.steps import WET_KINDS, Side, Step, StepKind, finish_near

ALL = [pytest.param(template, id=name) for name, template in templates().items()]


def steps_of(name, **changes):
    template = dataclasses.replace(templates()[name], **changes)
    return expand(template, finishes()[template.finish])


def keys(steps):
    return [step.key for step in steps]


def test_the_bench():
    assert keys(steps_of("oiled outdoor bench", scuffing=Scuffing.NEVER)) == [
        "prepare", "sand", "clean-1", "seal", "coat-1", "wipe-off-1",
        "clean-2", "coat-2", "wipe-off-2", "clean-3", "coat-3", "wipe-off-3",
        "clean-4", "coat-4", "wipe-off-4", "assemble", "install", "release",
    ]  # fmt: skip


def test_the_bench_is_oiled_by_rag_and_waits_a_day():
    steps = steps_of("oiled outdoor bench")
    coats = [step for step in steps if step.kind is StepKind.COAT]
    assert {coat.method for coat in coats} == {"by rag"}
    assert [coat.waits_for for coat in coats] == [None] + [Stage.DRY_TO_RECOAT] * 3
    assert finishes()["penetrating oil"].stages[Stage.DRY_TO_RECOAT].high == 24


def test_the_worktop_is_turned():
    steps = {step.key: step for step in steps_of("oiled worktop")}
    assert steps["turn-1"].waits_for is Stage.DRY_TO_HANDLE
    assert steps["coat-1-first"].side is Side.FIRST
    assert steps["coat-1-second"].side is Side.SECOND
    assert steps["coat-1-second"].waits_for is None
    assert steps["coat-2-first"].waits_for is Stage.DRY_TO_RECOAT
    assert steps["scuff-2"].only_if_window_missed


def test_the_door_is_scuffed_between_coats():
    steps = {step.key: step for step in steps_of("varnished door")}
    assert steps["scuff-2"].waits_for is Stage.DRY_THROUGH
    assert not steps["scuff-2"].only_if_window_missed
    assert steps["scuff-2"].grits == ("P240",)
    assert steps["coat-1-first"].waits_for is Stage.DRY_TO_RECOAT  # on the sealed end grain


def test_stain_goes_on_wet_and_is_wiped_once():
    assert keys(steps_of("stained cladding"))[-6:] == [
        "seal", "coat-1", "coat-2", "wipe-off-2", "install", "release",
    ]  # fmt: skip


def test_raised_grain_dries_before_it_is_sanded():
    steps = {step.key: step for step in steps_of("waterborne table")}
    assert steps["sand-raised-grain"].wait_hours == 4
    assert steps["sand-raised-grain"].grits == ("P180",)


def test_a_counter_cures_before_it_goes_in():
    order = keys(steps_of("two-component counter"))
    assert order[-3:] == ["cure", "install", "release"]


@pytest.mark.parametrize("template", ALL)
@pytest.mark.parametrize("sides", list(Sides))
@pytest.mark.parametrize("scuffing", list(Scuffing))
@pytest.mark.parametrize("coats", [1, 2, 5])
def test_whatever_is_changed_the_steps_make_sense(template, sides, scuffing, coats):
    changed = dataclasses.replace(
        template, sides=sides, scuffing=scuffing, coats=Number(coats, "test")
    )
    finish = finishes()[template.finish]
    steps = expand(changed, finish)
    assert len(set(keys(steps))) == len(steps)
    advice = check_steps(steps, finishes(), grits())
    assert [one for one in advice if "coats are usual" not in one] == []
    first_coat = keys(steps).index("coat-1" if sides is Sides.ALL_AT_ONCE else "coat-1-first")
    assert "clean-1" in keys(steps)[:first_coat]
    if changed.seal_first:
        assert "seal" in keys(steps)[:first_coat]
    assert steps[-1].kind is StepKind.RELEASE
    assert steps[-1].waits_for is Stage.FULL_CURE
    assert sum(step.kind is StepKind.COAT for step in steps) == coats * (
        1 if sides is Sides.ALL_AT_ONCE else 2
    )


def test_keys_stay_when_steps_come_and_go():
    few = keys(steps_of("varnished door", scuffing=Scuffing.NEVER, coats=Number(2, "test")))
    many = keys(steps_of("varnished door", coats=Number(6, "test")))
    assert set(few) <= set(many)


@pytest.mark.parametrize("template", ALL)
def test_every_hands_on_step_takes_time(template):
    for step in expand(template, finishes()[template.finish]):
        waiting = step.kind in {StepKind.CURE, StepKind.RELEASE}
        assert (step.minutes_fixed + step.minutes_per_m2 > 0) is not waiting


def test_another_finish_brings_its_own_method():
    steps = expand(templates()["varnished door"], finishes()["penetrating oil"])
    assert {step.method for step in steps if step.kind in WET_KINDS} == {"by rag"}
    assert any(step.kind is StepKind.WIPE_OFF for step in steps)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda s: [], "has no steps"),
        (lambda s: [*s, s[0]], "step 'prepare': the key stands twice"),
        (lambda s: [dataclasses.replace(one, finish="penetrating oli") if one.finish else one
                    for one in s], "did you mean 'penetrating oil'"),
        (lambda s: [dataclasses.replace(one, finish=None) for one in s], "names no finish"),
        (lambda s: [one for one in s if one.key != "coat-2"], "nothing was put on|belongs"),
        (lambda s: [one for one in s if one.key not in {"coat-2", "wipe-off-2"}],
         "coat 3 stands where coat 2 belongs"),
        (lambda s: [dataclasses.replace(one, minutes_fixed=-1) for one in s], "minutes_fixed"),
        (lambda s: [dataclasses.replace(one, wait_hours=float("nan")) for one in s], "wait_hours"),
        (lambda s: [dataclasses.replace(one, grits=("P81",)) for one in s], "no grit P81"),
        (lambda s: [dataclasses.replace(one, title="x\x1b") for one in s], "title: letter 2"),
        (lambda s: [dataclasses.replace(s[0], key=f"k{n}") for n in range(300)], "300 steps"),
        (lambda s: [dataclasses.replace(one, side=Side.SECOND) if one.kind is StepKind.COAT
                    else one for one in s], "belongs"),
    ],
)  # fmt: skip
def test_schedules_that_cannot_be_done(change, said):
    steps = list(steps_of("oiled outdoor bench"))
    with pytest.raises(BadInput, match=said):
        check_steps(change(steps), finishes(), grits(), "batch 'slats'")


def test_a_second_side_wants_a_turn():
    steps = [one for one in steps_of("oiled worktop") if one.kind is not StepKind.TURN]
    with pytest.raises(BadInput, match="without turning"):
        check_steps(steps, finishes(), grits())


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda s: [one for one in s if one.key != "clean-3"], "Coat 3.*dust off first"),
        (lambda s: [one for one in s if one.key != "clean-1"], "Coat 1.*dust off first"),
        (lambda s: [dataclasses.replace(one, waits_for=None) for one in s],
         "Coat 2.*should wait until the coat before is dry-to-recoat"),
        (lambda s: [dataclasses.replace(one, grits=("P80", "P220")) if one.key == "sand" else one
                    for one in s], "P80 to P220: grain 2.96 times finer, too wide"),
        (lambda s: [one for one in s if not one.key.endswith(("-2", "-3", "-4"))],
         "2 coats are usual at least, not 1"),
        (lambda s: [one for one in s if one.key != "wipe-off-4"],
         "Coat 4.*wipe off what stays wet after 15 to 30 minutes"),
    ],
)  # fmt: skip
def test_advice(change, said):
    steps = change(list(steps_of("oiled outdoor bench")))
    advice = check_steps(steps, finishes(), grits())
    assert any(re.search(said, one) for one in advice), advice


def test_too_many_coats():
    steps = steps_of("oiled worktop", coats=Number(6, "test"))
    assert any("2 coats are usual at most, not 6" in one for one in check_steps(
        steps, finishes(), grits()))  # fmt: skip


def test_coats_are_numbered_in_order():
    for template in templates().values():
        coats = [s.coat for s in expand(template, finishes()[template.finish]) if s.coat]
        assert all(later >= earlier for earlier, later in itertools.pairwise(coats))


def test_a_step_before_the_first_coat_has_no_coat_number():
    assert {s.coat for s in steps_of("oiled outdoor bench")[:4]} == {0}
    assert Step("x", StepKind.SAND, "Sand").coat == 0


def test_a_dry_step_meets_the_finish_below_it_and_before_the_first_coat_that_one():
    steps = (
        Step("sand", StepKind.SAND, "Sand"),
        Step("coat-1", StepKind.COAT, "Coat 1", coat=1, finish="penetrating oil"),
        Step("scuff-2", StepKind.SCUFF, "Scuff", coat=2),
        Step("coat-2", StepKind.COAT, "Coat 2", coat=2, finish="shellac"),
        Step("assemble", StepKind.ASSEMBLE, "Assemble"),
    )
    met = [finish_near(steps, at) for at in (0, 2, 4)]
    assert met == ["penetrating oil", "penetrating oil", "shellac"]
    assert finish_near(steps[:1], 0) is None
