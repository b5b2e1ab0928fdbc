"""Every finishing schedule the program ships, planned in loads, gives a clean calendar."""

import pytest

from finplan.calendars.ics import Profile, calendar_bytes
from finplan.calendars.ledger import update_ledger
from finplan.library.load import cautions, templates
from finplan.planning.make import make_plan
from finplan.tracking.reminder import ReminderNotes, Role
from finplan.tracking.reminders import reminders_of
from finplan.trade.steps import WAITING_KINDS
from tests.calendars.lint import faults
from tests.unit.planning.shops import EVENINGS, batch, bench, project, request, workshop


@pytest.mark.parametrize("template", templates())
def test_planned_in_loads_it_exports_clean_and_names_every_step(template):
    asked = request(
        project(batch(template=template), parts=(bench(16),)),
        shop=workshop(EVENINGS, rack_m2=1.5),
    )
    plan = make_plan(asked)
    assert max(step.loads for step in plan.steps) > 1
    found = reminders_of(plan, asked, None, ReminderNotes(cautions=cautions()))
    update = update_ledger((), found, ("bench",), plan.now)
    data = calendar_bytes(update.rows, "Finishing", Profile.FEED, plan.now)
    assert faults(data) == []
    told = {step for one in found if one.role is Role.SESSION for step in one.steps}
    assert told == {step.id for step in plan.steps if step.kind not in WAITING_KINDS}
    drying = [one for one in found if "dry-to" in one.text]
    assert all("likely" in one.text and "safe" in one.text for one in drying)
