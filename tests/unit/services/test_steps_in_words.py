"""Which step a person means."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.planning.plan import PlannedStep
from finplan.services.steps import find_step
from finplan.trade.errors import BadInput
from finplan.trade.steps import Side, StepKind

NOON = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)


def step(batch, load, key, kind, title, *, coat=0, side=Side.ALL, done=False, loads=2):
    return PlannedStep(
        id=f"door/{batch}/{load}/{key}",
        project="door",
        batch=batch,
        load=load,
        loads=loads,
        step=key,
        kind=kind,
        coat=coat,
        side=side,
        title=title,
        start=NOON,
        end=NOON,
        pieces=((NOON, NOON),),
        person="Maker",
        space="loft",
        area_m2=1.0,
        minutes=10.0,
        waits_for=None,
        window_closes=None,
        reason="",
        done=done,
    )


STEPS = (
    step("leaf", 1, "sand", StepKind.SAND, "Sand P120, P180", done=True),
    step("leaf", 1, "coat-1-first", StepKind.COAT, "Coat 1, first side", coat=1, side=Side.FIRST),
    step(
        "leaf", 1, "coat-1-second", StepKind.COAT, "Coat 1, second side", coat=1, side=Side.SECOND
    ),
    step("leaf", 2, "sand", StepKind.SAND, "Sand P120, P180"),
    step("leaf", 2, "coat-1-first", StepKind.COAT, "Coat 1, first side", coat=1, side=Side.FIRST),
    step("frame", 1, "coat-1", StepKind.COAT, "Coat 1 of varnish", coat=1, loads=1),
    step("frame", 1, "coat-11", StepKind.COAT, "Coat 11 of varnish", coat=11, loads=1),
    step("frame", 1, "wipe-1", StepKind.WIPE_OFF, "Wipe off coat 1", coat=1, loads=1),
)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("door/leaf/2/sand", "leaf/2/sand"),
        ("leaf/1/coat-1-second", "leaf/1/coat-1-second"),
        ("frame/coat-1", "frame/1/coat-1"),
        ("coat-11", "frame/1/coat-11"),
        ("COAT 11", "frame/1/coat-11"),
        ("sand", "leaf/2/sand"),
        ("leaf load 1 sand", "leaf/1/sand"),
        ("load 2 coat 1 first", "leaf/2/coat-1-first"),
        ("second side", "leaf/1/coat-1-second"),
        ("wipe off 1", "frame/1/wipe-1"),
        ("frame coat 1", "frame/1/coat-1"),
        ("P180 load 2", "leaf/2/sand"),
    ],
)
def test_words_that_fit_one_step(words, found):
    assert find_step(STEPS, words, "door").id == f"door/{found}"


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("leaf/coat-1-first", ["leaf/1/coat-1-first", "leaf/2/coat-1-first"]),
        ("first side", ["leaf/1/coat-1-first", "leaf/2/coat-1-first"]),
        ("leaf load 1 coat 1", ["leaf/1/coat-1-first", "leaf/1/coat-1-second"]),
    ],
)
def test_words_that_fit_several_name_them(words, named):
    with pytest.raises(BadInput) as refusal:
        find_step(STEPS, words, "door")
    assert all(name in str(refusal.value) for name in named)


def test_the_next_of_one_load_is_about_to_be_recorded():
    assert find_step(STEPS, "leaf load 1 coat 1", "door", to_do=True) == STEPS[1]
    with pytest.raises(BadInput, match="may mean leaf/1/coat-1-first, leaf/2/coat-1-first"):
        find_step(STEPS, "first side", "door", to_do=True)


@pytest.mark.parametrize("words", ["", "   ", "coat 3", "leaf load 7 sand", "/", "x" * 10_000])
def test_words_that_fit_none(words):
    with pytest.raises(BadInput) as refusal:
        find_step(STEPS, words, "door")
    assert len(str(refusal.value)) < 300
    assert "leaf/1/sand" in str(refusal.value)


def test_where_there_is_nothing_to_name():
    with pytest.raises(BadInput, match="none"):
        find_step((), "coat 1", "door")
