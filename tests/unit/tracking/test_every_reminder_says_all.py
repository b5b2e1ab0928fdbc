"""Each reminder says what, of which pieces, for how long, until when, and why."""

import dataclasses
import datetime as dt
import re
from zoneinfo import ZoneInfo

import pytest

from finplan.library.load import cautions
from finplan.planning.make import make_plan
from finplan.tracking.reminder import GOVERNS, ReminderNotes, ReminderSettings, Role
from finplan.tracking.reminders import reminders_of
from finplan.trade.steps import WET_KINDS, StepKind
from tests.unit.planning.shops import EVENINGS, batch, project, request, workshop

HOUR = r"(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+ \w{3} \d\d:\d\d"
LENGTH = r"(?:\d+ h\b|\d+ min\b)"
BOTH = rf"likely {HOUR}, safe {HOUR}"
LOUD = ReminderSettings(quiet_from=dt.time(0), quiet_until=dt.time(0))

SAYS = {
    Role.SESSION: (r"^\d\d:\d\d .*: slats; ", LENGTH),
    Role.RECOAT_OPENS: (", slats: dry-to-recoat", BOTH, rf"Planned for {HOUR}", f"takes {LENGTH}"),
    Role.RECOAT_CLOSES: (f", slats goes on without scuffing until {HOUR}", f"takes {LENGTH}"),
    Role.WIPE_OFF: (", slats: wipe off all", "minutes after the coat", f"takes {LENGTH}"),
    Role.TURN: (", slats: dry-to-handle", BOTH, f"Planned for {HOUR}", f"takes {LENGTH}"),
    Role.CHECK: (rf", slats is likely dry-to-recoat from {HOUR}, safe from {HOUR}", "finger"),
    Role.ASSEMBLE: (r", slats: dry-\S+", BOTH, f"Planned for {HOUR}", f"takes {LENGTH}"),
    Role.CURED: (rf"Cured \(slats\): {BOTH}", "in service by Sun 20 Dec"),
    Role.RAGS: ("can burn", "closed metal can"),
    Role.BUY: (f"is first needed {HOUR}: ",),
}
"""What each text must say; air and upkeep are tried by tests of their own."""

TEMPLATES = ("oiled outdoor bench", "varnished door", "oiled worktop", "sprayed cabinet")


def coated(plan, count):
    """The plan with everything done up to its wet step number ``count``, at that hour."""
    wet = [step for step in plan.steps if step.kind in WET_KINDS]
    last = wet[count].end
    steps = tuple(dataclasses.replace(one, done=one.end <= last) for one in plan.steps)
    return dataclasses.replace(plan, steps=steps, now=last)


@pytest.fixture(scope="module")
def told():
    """All that is told of some schedules, before the work and with each coat just on."""
    found = []
    for template in TEMPLATES:
        made = project(batch(template=template), in_service_by=dt.date(2026, 12, 20))
        asked = request(made, shop=workshop(EVENINGS))
        plan = make_plan(asked)
        notes = ReminderNotes(cautions=cautions())
        wet = sum(step.kind in WET_KINDS for step in plan.steps)
        for seen in (plan, *(coated(plan, count) for count in range(wet))):
            found += reminders_of(seen, asked, LOUD, notes)
    return found


@pytest.mark.parametrize("role", SAYS)
def test_it_says_all(told, role):
    of_role = [one for one in told if one.role is role]
    assert of_role, "such a reminder is told of somewhere"
    for one in of_role:
        assert one.title.startswith("Bench: "), "what it is about"
        assert one.start < one.end
        assert one.text.endswith(GOVERNS)
        for words in SAYS[role]:
            assert re.search(words, one.text, re.MULTILINE), (one.title, one.text)


def test_a_load_may_be_turned_at_its_safe_hour_and_no_sooner(told):
    for one in told:
        if one.role is not Role.TURN:
            continue
        assert one.alarm_at == one.start
        assert "may be turned (safe)" in one.title
        (safe,) = re.findall(rf"safe ({HOUR})", one.text)
        local = one.start.astimezone(ZoneInfo("Europe/Oslo"))
        minute_up = {local, local - dt.timedelta(minutes=1)}
        assert safe[-5:] in {f"{at:%H:%M}" for at in minute_up}


def test_a_session_with_wet_or_dusty_work_says_what_to_mind(told):
    for one in told:
        if one.role is Role.SESSION and re.search(r"/(coat|sand|seal)", " ".join(one.steps)):
            assert re.search(r"^Mind:\n- .{20}", one.text, re.MULTILINE), one.text


def test_turning_is_told_of_for_every_turn_of_a_schedule(told):
    asked = request(project(batch(template="varnished door")), shop=workshop(EVENINGS))
    plan = make_plan(asked)
    turns = {
        step.id for step in plan.steps if step.kind is StepKind.TURN and step.waits_for is not None
    }
    found = {one.steps[0] for one in reminders_of(plan, asked, LOUD) if one.role is Role.TURN}
    assert found == turns
    assert turns
