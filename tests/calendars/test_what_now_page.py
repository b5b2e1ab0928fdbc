"""The page 'what now': plain, whole, safe against hostile names, and loading nothing."""

import dataclasses
import datetime as dt
from html.parser import HTMLParser
from zoneinfo import ZoneInfo

from finplan.calendars.page import what_now_page
from finplan.tracking.drying_now import drying_now
from finplan.tracking.due import DueItem, DueState, due_items
from finplan.tracking.reminder import GOVERNS
from tests.unit.tracking.bench import HOUR, ZONE, after, bench_plan, bench_request

COATED = ("sand", "coat-1", "wipe-1")
DAY = dt.timedelta(days=1)
VOID = {"meta", "link", "br", "img"}


class Reader(HTMLParser):
    """Collects tags and text, and sees tags that do not close in turn."""

    def __init__(self):
        super().__init__()
        self.open, self.tags, self.words = [], [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)


def read(page):
    reader = Reader()
    reader.feed(page.decode())
    assert reader.open == []
    return reader


def page(now_h, due=None, drying=None, upkeep=()):
    plan, now = bench_plan(done=COATED), after(now_h)
    return what_now_page(
        due_items(plan, now, DAY) if due is None else due,
        drying_now(plan, bench_request(), now) if drying is None else drying,
        upkeep,
        ZoneInfo(ZONE),
        now,
    )


def test_it_says_what_is_due_and_how_far_what_dries_is_likely_and_safe():
    seen = read(page(51.0))
    text = " ".join(seen.words)
    assert "Second coat: slats" in text
    assert "window closing" in text
    assert "until Tue 6 Oct 11:30" in text
    assert "likely" in text
    assert "safe" in text
    assert GOVERNS in text
    assert [attrs["value"] for tag, attrs in seen.tags if tag == "progress"] == ["100"]


def test_an_idle_shop_says_so():
    text = " ".join(read(page(51.0, due=(), drying=())).words)
    assert "Nothing is due." in text
    assert "Nothing is drying." in text


def renewal(state, zone="Pacific/Auckland", what="renewal: Jetty steps"):
    day = dt.datetime(2026, 10, 5, 20, 0, tzinfo=dt.UTC)
    item = DueItem(what, "jetty_steps", "upkeep", 1, "renewal", day, day + 9 * HOUR, state)
    return item, ZoneInfo(zone)


def test_upkeep_that_is_due_is_told_of_in_the_time_of_its_place():
    seen = read(page(51.0, upkeep=[renewal(DueState.OVERDUE), renewal(DueState.SOON)]))
    text = " ".join(seen.words)
    assert "Upkeep" in text
    assert text.count("renewal: Jetty steps") == 2
    assert "Tue 6 Oct 09:00 to 18:00" in text
    assert ("li", {"class": "overdue"}) in seen.tags
    assert "Upkeep" not in " ".join(read(page(51.0)).words)


def test_hostile_pieces_stay_text():
    seen = read(page(51.0, upkeep=[renewal(DueState.NOW, what="<b>\u202e</b><script>")]))
    assert {"b", "script"}.isdisjoint(tag for tag, _ in seen.tags)
    assert "<script>" in "".join(seen.words)


def test_hostile_names_stay_text():
    items = due_items(bench_plan(done=COATED), after(51.0), DAY)
    bad = '<script>alert("x")</script>\u202e\x00'
    hostile = [dataclasses.replace(item, what=bad, project=bad, batch=bad) for item in items]
    seen = read(page(51.0, due=hostile))
    assert "script" not in {tag for tag, _ in seen.tags}
    assert '<script>alert("x")</script>' in "".join(seen.words)


def test_it_loads_nothing_and_needs_no_script():
    seen = read(page(51.0))
    assert {tag for tag, _ in seen.tags}.isdisjoint({"script", "link", "img", "iframe", "form"})
    assert all("src" not in attrs and "href" not in attrs for _, attrs in seen.tags)
    assert b"url(" not in page(51.0)
    assert ("viewport", "width=device-width,initial-scale=1") in [
        (attrs.get("name"), attrs.get("content")) for _, attrs in seen.tags
    ]
