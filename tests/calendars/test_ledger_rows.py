"""Identity, SEQUENCE and stamps: what changed since the last export, and what did not."""

import dataclasses
import datetime as dt
import uuid

import pytest

from finplan.calendars.ledger import digest_of, shown_rows, update_ledger
from tests.calendars.shop import HOUR, NOW, PLAN, all_day, ledger_of, reminder, some_reminders


def test_identity_comes_from_plan_and_key_alone():
    first = reminder()
    moved = reminder(start_h=90, title="another title")
    assert first.uid == moved.uid == uuid.uuid5(PLAN, "session/slats/1/sand")
    copied = reminder(project_uid=uuid.UUID(int=9))
    assert copied.uid != first.uid
    assert first.alarm_uid not in (first.uid, copied.alarm_uid)


def test_the_same_again_changes_no_row():
    first = ledger_of(some_reminders())
    again = ledger_of(some_reminders(), first.rows, NOW + 5 * HOUR)
    assert again.rows == first.rows
    assert again.changed == ()


@pytest.mark.parametrize(
    "changes",
    [
        {"title": "Bench: Sand"},
        {"text": "other"},
        {"alarm_at": None},
        {"alarm_at": NOW + 40 * HOUR},
        {"end": NOW + 50 * HOUR},
        {"start": NOW + 42 * HOUR},
        {"busy": False},
    ],
)
def test_any_change_raises_sequence_by_one_and_keeps_when_it_was_created(changes):
    before = ledger_of([reminder()]).rows[0]
    later = NOW + HOUR
    (after,) = ledger_of([reminder(**changes)], [before], later).altered
    assert (after.uid, after.sequence) == (before.uid, 1)
    assert (after.created, after.stamp) == (before.created, later)
    assert after.digest == digest_of(after.content) != before.digest


def test_stamps_are_whole_seconds_and_never_go_back_when_the_clock_does():
    fraction = NOW + dt.timedelta(microseconds=999_999)
    (row,) = ledger_of([reminder()], now=fraction).rows
    assert row.stamp == row.created == NOW
    (after,) = ledger_of([reminder(title="x")], [row], NOW - 48 * HOUR).altered
    assert (after.stamp, after.sequence) == (NOW, 1)


def test_what_is_gone_is_cancelled_and_what_returns_goes_on_counting():
    kept = ledger_of([reminder()])
    gone = ledger_of([], kept.rows, NOW + HOUR)
    assert gone.cancelled[0].cancelled_at == NOW + HOUR
    assert gone.cancelled[0].sequence == 1
    still = ledger_of([], gone.rows, NOW + 2 * HOUR)
    assert still.changed == ()
    back = ledger_of([reminder()], gone.rows, NOW + 3 * HOUR)
    assert back.altered[0].uid == kept.rows[0].uid
    assert (back.altered[0].sequence, back.altered[0].cancelled_at) == (2, None)


def test_what_is_gone_is_told_for_sixty_days_and_only_to_who_imports():
    kept = ledger_of([reminder(), all_day()])
    rows = ledger_of([all_day()], kept.rows, NOW).rows
    standing = [row for row in rows if row.cancelled_at is None]
    assert len(standing) == 1
    last = NOW + dt.timedelta(days=60)
    for now, tombstones, shown in (
        (NOW + HOUR, True, rows),
        (last - dt.timedelta(seconds=1), True, rows),
        (last, True, standing),
        (NOW + HOUR, False, standing),
    ):
        assert shown_rows(rows, tombstones, now) == list(shown)


def test_there_and_back_again_never_lowers_the_sequence():
    first = ledger_of([reminder()])
    moved = ledger_of([reminder(start_h=60)], first.rows, NOW + HOUR)
    undone = ledger_of([reminder()], moved.rows, NOW + 2 * HOUR)
    assert undone.rows[0].digest == first.rows[0].digest
    assert undone.rows[0].sequence == 2


def test_rows_of_projects_not_exported_stay_as_they_are():
    other = dataclasses.replace(ledger_of([reminder()]).rows[0], project="door")
    update = update_ledger([other], [], ("bench",), NOW + HOUR)
    assert update.rows == (other,)
    assert update.changed == ()


def test_the_etag_of_a_server_is_kept_through_a_change():
    row = dataclasses.replace(ledger_of([reminder()]).rows[0], etag='"abc"')
    (after,) = ledger_of([reminder(title="x")], [row], NOW + HOUR).altered
    assert after.etag == '"abc"'


def test_two_items_of_one_identity_are_a_fault_of_ours():
    with pytest.raises(ValueError, match="share the key"):
        ledger_of([reminder(), reminder(title="x")])
