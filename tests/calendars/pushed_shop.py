"""A made-up ledger and the calendar on a real server it is pushed to."""

from contextlib import contextmanager

from finplan.calendars.account import Account
from finplan.calendars.push import push
from finplan.calendars.server import CalendarServer, connected
from tests.calendars.radicale_server import PASSWORD, USER
from tests.calendars.shop import HOUR, NOW, ledger_of


class Shop:
    """A ledger that keeps what a push says, and the calendar it is pushed to."""

    def __init__(self, client, url):
        self.client, self.url = client, url
        self.server = CalendarServer(client, url)
        self.rows, self.now = {}, NOW

    def plan(self, reminders):
        self.now += HOUR
        update = ledger_of(reminders, self.rows.values(), self.now)
        self.rows = {row.uid: row for row in update.rows}

    def keep(self, row):
        self.rows[row.uid] = row

    def push(self, dry_run=False, keep=None):
        return push(self.server, list(self.rows.values()), keep or self.keep, self.now, dry_run)

    def by_person(self, item, *changes):
        """Change an item as a person's own calendar program does."""
        name = f"{item.uid}.ics"
        data = self.server.get(name).data.decode().replace("-//finplan//finplan//EN", "-//other//")
        for old, new in changes:
            assert old in data
            data = data.replace(old, new)
        self.server.update(name, data.encode(), self.server.etags()[name])
        return data

    def held(self, item):
        found = self.server.get(f"{item.uid}.ics")
        return found.data.decode().replace("\r\n ", "") if found else None


@contextmanager
def shop_on(radicale):
    with connected(Account(radicale.url, USER), PASSWORD) as client:
        calendar = client.get_principal().make_calendar("Finishing")
        yield Shop(client, str(calendar.url))
        calendar.delete()
