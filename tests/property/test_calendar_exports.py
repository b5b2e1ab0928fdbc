"""Whatever people write, the export is clean; whatever they do, SEQUENCE and stamps only grow."""

import datetime as dt
import string

import vobject
from hypothesis import given, settings
from hypothesis import strategies as st

from finplan.calendars.clean import LONGEST_TITLE, clean_line, clean_text
from finplan.calendars.ics import Profile, calendar_bytes
from tests.calendars.lint import faults
from tests.calendars.shop import HOUR, NOW, exported, ledger_of, reminder

TRICKY = st.text(
    st.one_of(
        st.characters(),
        st.characters(categories=["Cs", "Cc", "Cf"]),
        st.sampled_from('\r\n\\;,:"\t\x00\x85\u2028\ufeff' + string.ascii_letters),
    ),
    max_size=200,
)


@given(TRICKY, TRICKY, TRICKY)
@settings(max_examples=60)
def test_any_text_gives_a_clean_file_that_reads_back_as_cleaned(title, text, name):
    data = exported([reminder(title=title, text=text)], name=name)
    assert faults(data) == []
    event = vobject.readOne(data.decode()).vevent
    assert event.summary.value == clean_line(title)
    assert event.description.value == clean_text(text)


@given(TRICKY)
def test_cleaning_twice_is_cleaning_once(text):
    assert clean_text(clean_text(text)) == clean_text(text)
    assert clean_line(clean_line(text)) == clean_line(text)
    assert len(clean_line(text)) <= LONGEST_TITLE


KEYS = ("session/a/1/sand", "session/a/1/coat-1", "buy/oil")
PLANS = st.lists(
    st.tuples(st.dictionaries(st.sampled_from(KEYS), st.integers(30, 60)), st.integers(-400, 400)),
    min_size=1,
    max_size=8,
)


@given(PLANS)
def test_sequence_and_stamp_never_fall_and_the_feed_shows_just_the_plan(plans):
    rows, now = (), NOW
    for wanted, hours in plans:
        now += dt.timedelta(hours=hours)  # clocks are set back, too
        before = {row.uid: row for row in rows}
        rows = ledger_of([reminder(key, start_h=at) for key, at in wanted.items()], rows, now).rows
        for row in rows:
            old = before.get(row.uid, row)
            assert row.sequence >= old.sequence
            assert row.stamp >= old.stamp >= old.created
            assert row.created == old.created
            changed = (row.digest, row.cancelled_at) != (old.digest, old.cancelled_at)
            assert row.sequence == old.sequence + changed
        data = calendar_bytes(rows, "Finishing", Profile.FEED, now)
        assert faults(data) == []
        assert data.count(b"BEGIN:VEVENT") == len(wanted)
        assert all(f"{NOW + at * HOUR:%Y%m%dT%H%M%SZ}".encode() in data for at in wanted.values())
