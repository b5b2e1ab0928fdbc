"""What is said when a step is recorded: wiping in time, the recoat window, the coat below."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from finplan.tracking.heed import what_to_heed
from finplan.trade.steps import StepKind
from tests.unit.tracking.bench import OIL, ZONE, after, bench_plan, planned


def heeded(key, start_h, end_h, now_h, before_done=(), more=()):
    """Record a step of the bench and return what is said of it."""
    before = bench_plan(now_h, done=before_done)
    before = replace(before, steps=(*before.steps, *more))
    step = replace(planned(key, start_h, end_h, done=True), minutes=30)
    steps = tuple(step if one.step == key else one for one in before.steps)
    after_it = replace(before, steps=steps, now=after(now_h))
    finishes = {one.id: OIL if one.kind is StepKind.COAT else None for one in steps}
    return what_to_heed(after_it, before, finishes, step, ZoneInfo(ZONE))


SCUFFED = replace(planned("coat-2", 57, 57, done=True), kind=StepKind.SCUFF, id="scuff")


@pytest.mark.parametrize(
    ("recorded", "said"),
    [
        (("coat-1", 1.5, 2.5, 2.6), ["Wipe it off between Sat 3 Oct 11:40 and Sat 3 Oct 11:50."]),
        (
            ("coat-1", 1.5, 2.5, 4.0),
            ["Wipe it off at once: that was to be done by Sat 3 Oct 11:50"],
        ),
        (("wipe-1", 2.75, 3.25, 3.3, ("coat-1",)), []),
        (("wipe-1", 6.0, 6.5, 7.0, ("coat-1",)), ["Wiped 4 h after the coat, where 10 to 20 min"]),
        (("coat-2", 57.5, 58.5, 59, ("coat-1", "wipe-1")), []),
        (
            ("coat-2", 75, 76, 77, ("coat-1", "wipe-1")),
            ["The recoat window closed Tue 6 Oct 11:30"],
        ),
        (("coat-2", 75, 76, 77, ("coat-1", "wipe-1"), (SCUFFED,)), []),
        (
            ("coat-2", 8, 9, 10, ("coat-1", "wipe-1")),
            ["before what is below was likely dry-to-rec"],
        ),
        (("assemble", 81.5, 83, 84, ("coat-2",)), []),
    ],
)
def test_said_where_it_matters(recorded, said):
    found = heeded(*recorded)
    assert len(found) == len(said)
    assert all(words in sentence for words, sentence in zip(said, found, strict=True))
