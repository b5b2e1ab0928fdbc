"""The feed server's two answers: the calendar, and the page 'what now'."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable, Collection
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.calendar import calendar_wanted, keep_ledger
from finplan.services.due import upkeep_things
from finplan.services.overview import due_now
from finplan.services.planned import all_planned

if TYPE_CHECKING:
    from finplan.calendars.feed import FeedContent, Served
    from finplan.services.session import Session

OpenSession = Callable[[], AbstractContextManager["Session"]]
"""Opens the store for one answer: answers are given from several threads."""

PAGE_AHEAD = dt.timedelta(hours=36)


def feed_content(open_session: OpenSession, projects: Collection[str]) -> FeedContent:
    """Return what the server answers with, made anew from the store for every request."""
    from finplan.calendars.feed import FeedContent

    one_at_a_time = threading.Lock()

    def calendar() -> Served:
        with one_at_a_time, open_session() as session:
            return _calendar(session, projects)

    def page() -> Served:
        with one_at_a_time, open_session() as session:
            return _page(session)

    return FeedContent(calendar, page)


def token_path() -> Path:
    """Return where the secret part of the feed's address is kept."""
    import platformdirs

    return platformdirs.user_config_path("finplan", appauthor=False) / "feed-token"


def _calendar(session: Session, projects: Collection[str]) -> Served:
    from finplan.calendars.feed import Served
    from finplan.calendars.ics import Profile, calendar_bytes, calendar_state

    wanted = calendar_wanted(session, projects)
    with session.store.unit() as unit:
        _, rows = keep_ledger(unit, wanted, session.now)
        unit.commit()
    changed = max((row.stamp for row in rows), default=session.now)
    return Served(
        calendar_bytes(rows, wanted.title, Profile.FEED, session.now),
        changed,
        calendar_state(rows, wanted.title, Profile.FEED, session.now),
    )


def _page(session: Session) -> Served:
    from finplan.calendars.feed import Served
    from finplan.calendars.page import what_now_page
    from finplan.tracking.drying_now import drying_now

    plans = all_planned(session)
    due = [item for seen in plans for item in due_now(session, seen, PAGE_AHEAD)]
    drying = [
        surface
        for seen in plans
        for surface in drying_now(seen.plan, seen.request, session.now, seen.clock)
    ]
    zone = plans[0].zone if plans else dt.UTC
    upkeep = [(one.item, one.zone) for one in upkeep_things(session)]
    return Served(what_now_page(due, drying, upkeep, zone, session.now), session.now)
