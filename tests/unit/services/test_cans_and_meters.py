"""What is told besides the air: the can a coat came from, the wood by a moisture meter."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.services.dry import dry
from finplan.services.journal import correct, entries_of
from finplan.services.planned import planned
from finplan.services.record import StepRef, record_check, record_step, skip_step
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage

OIL = "penetrating oil"
MORNING = dt.datetime(2026, 10, 5, 6, tzinfo=dt.UTC)
LATE = "2026-10-09T18:00+02:00"


def slow_first_coat(at, can):
    """Coat 1 from ``can``, found wet after three days; returns a session a day later."""
    session = at("2026-10-08T18:00+02:00")
    record_step(session, StepRef("bench", "pieces", 1, "seal"), at=MORNING)
    first = MORNING + dt.timedelta(hours=1)
    record_step(session, StepRef("bench", "pieces", 1, "coat-1"), at=first, can=can)
    record_check(
        session, StepRef("bench", "pieces", 1, "coat-1"), stage=Stage.DRY_TO_RECOAT, reached=False
    )
    return at(LATE)


def second_coat(session, can):
    done = {entry.entry.step for entry in entries_of(session, "bench")}
    for step in planned(session, ["bench"]).steps_of("bench"):
        if step.step == "coat-2":
            break
        if step.step not in done and not step.done:
            skip_step(session, StepRef("bench", "pieces", 1, step.step))
    record_step(session, StepRef("bench", "pieces", 1, "coat-2"), can=can)


def median(session):
    return planned(session).clock(OIL, "shed").belief.median


@pytest.mark.usefixtures("session")
def test_a_new_can_makes_what_the_old_one_taught_count_less(at):
    session = slow_first_coat(at, "A")
    taught = median(session)
    second_coat(session, "B")
    assert 1.0 < median(session) < taught - 0.02


@pytest.mark.usefixtures("session")
@pytest.mark.parametrize(("first", "then"), [("A", "A"), ("A", ""), ("", "")])
def test_a_can_stands_until_another_is_named(at, first, then):
    session = slow_first_coat(at, first)
    taught = median(session)
    second_coat(session, then)
    assert median(session) == pytest.approx(taught)


@pytest.mark.usefixtures("session")
def test_the_first_can_named_is_a_new_one(at):
    session = slow_first_coat(at, "")
    taught = median(session)
    second_coat(session, "A")
    assert median(session) < taught - 0.02


@pytest.mark.usefixtures("session")
def test_a_wrong_can_is_corrected(at):
    session = slow_first_coat(at, "A")
    taught = median(session)
    second_coat(session, "B")
    last = entries_of(session, "bench")[-1].entry
    assert last.details["can"] == "B"
    correct(session, last, {"can": "A"})
    assert median(session) == pytest.approx(taught)


def test_a_can_is_text_of_one_coat(session):
    with pytest.raises(BadInput):
        record_step(session, StepRef("bench", "pieces", 1, "seal"), at=MORNING, can="A\x07")
    assert entries_of(session) == ()


def test_wood_by_a_meter_counts_before_the_air(session):
    wet = dry(session, OIL, constant=(20.0, 50.0), wood_percent=19.0)
    assert wet.verdict == "no"
    assert "19 % moisture by the meter" in " ".join(wet.warnings)
    assert dry(session, OIL, constant=(20.0, 50.0), wood_percent=11.0).verdict == "go"
    # Damp air makes the wood damp unless a meter says that it is not.
    damp = dry(session, OIL, constant=(20.0, 84.0))
    assert "by the air of the days before" in " ".join(damp.warnings)
    measured = dry(session, OIL, constant=(20.0, 84.0), wood_percent=11.0)
    assert "moisture" not in " ".join(measured.warnings)
