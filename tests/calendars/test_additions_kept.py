"""What a person's own program adds to an item of ours, on a real server, outlives our updates."""

import pytest

from tests.calendars.pushed_shop import shop_on
from tests.calendars.shop import HOUR, NOW, all_day, reminder, task

ADDED = (
    "X-MY-MARK;X-HUE=red:7 days",
    "LOCATION:garage\\, left door",
    "COMMENT:ask first",
    "COMMENT:and again",
    "PRIORITY:3",
)
OWN_ALARM = ("BEGIN:VALARM", "ACTION:DISPLAY", "DESCRIPTION:mine", "TRIGGER:-P1D", "END:VALARM")


@pytest.fixture
def shop(radicale):
    with shop_on(radicale) as shop:
        yield shop


def test_what_a_persons_program_added_outlives_every_later_update(shop):
    shop.plan([reminder(), all_day()])
    shop.push()
    shop.by_person(
        reminder(),
        ("BEGIN:VALARM", "\r\n".join((*ADDED, "BEGIN:VALARM"))),
        ("END:VALARM", "\r\n".join(("ACKNOWLEDGED:20261003T060000Z", "END:VALARM", *OWN_ALARM))),
        ("TRIGGER:-PT1H", "TRIGGER:-PT20M"),
        ("CATEGORIES:session", "CATEGORIES:session,shop days"),
        ("TRANSP:OPAQUE", "TRANSP:TRANSPARENT"),
    )
    assert shop.push().unchanged == 2, "seen, and nothing to send"
    for start_h in (50, 55, 60):
        shop.plan([reminder(start_h=start_h, title=f"Bench: at {start_h}"), all_day()])
        report = shop.push()
        assert (len(report.updated), report.unchanged, report.conflicts) == (1, 1, [])
        held = shop.held(reminder())
        assert f"DTSTART:{NOW + start_h * HOUR:%Y%m%dT%H%M%SZ}" in held
        assert held.count(f"SUMMARY:Bench: at {start_h}") == 1
        assert held.count("BEGIN:VALARM") == 2, "ours once, theirs once"
        for line in (
            *ADDED,
            "ACKNOWLEDGED:20261003T060000Z",
            "DESCRIPTION:mine",
            "TRIGGER:-P1D",
            "TRIGGER:-PT20M",
            "CATEGORIES:session,shop days",
            "TRANSP:TRANSPARENT",
        ):
            assert line in held.splitlines()


def test_our_alarm_without_its_identity_is_still_known_for_ours(shop):
    shop.plan([reminder()])
    shop.push()
    shop.by_person(reminder(), (f"UID:{reminder().alarm_uid}", "X-MY-MARK:7"))
    for start_h in (50, 55):
        shop.plan([reminder(start_h=start_h, lead_h=start_h / 25)])
        assert len(shop.push().updated) == 1
    held = shop.held(reminder())
    assert held.count("BEGIN:VALARM") == 1
    assert "TRIGGER:-PT2H12M" in held, "the plan's own, since nobody set another"
    assert "X-MY-MARK:7" in held


def without_alarm(shop, item):
    held = shop.server.get(f"{item.uid}.ics").data.decode().replace("\r\n", "\n")
    _, rest = held.split("BEGIN:VALARM\n")
    return f"BEGIN:VALARM\n{rest.split('END:VALARM')[0]}END:VALARM\n"


@pytest.mark.parametrize("item", [reminder, all_day])
def test_an_alarm_that_a_person_took_out_stays_out(shop, item):
    shop.plan([item()])
    shop.push()
    shop.by_person(item(), (without_alarm(shop, item()), ""))
    for hours in (1, 2):
        shop.plan([item(text=f"other words {hours}")])
        assert len(shop.push().updated) == 1
        assert "VALARM" not in shop.held(item())
    own = "\n".join((*OWN_ALARM, "END:VEVENT"))
    shop.by_person(item(), ("END:VEVENT", own))
    shop.plan([item(text="and more")])
    shop.push()
    assert shop.held(item()).count("BEGIN:VALARM") == 1
    assert "DESCRIPTION:mine" in shop.held(item())


def test_an_alarm_that_is_gone_after_it_rang_is_back_when_the_item_moves(shop):
    shop.plan([reminder()])
    shop.push()
    shop.by_person(reminder(), (without_alarm(shop, reminder()), ""))
    shop.now = NOW + 42.5 * HOUR
    shop.plan([reminder(start_h=60)])
    shop.push()
    assert "TRIGGER:-PT1H" in shop.held(reminder())


def test_an_alarm_without_identity_that_rings_at_a_set_hour_may_be_ours(shop):
    shop.plan([reminder()])
    shop.push()
    shop.by_person(
        reminder(),
        (f"UID:{reminder().alarm_uid}", "X-MY-MARK:7"),
        ("TRIGGER:-PT1H", "TRIGGER;VALUE=DATE-TIME:20261003T060000Z"),
    )
    shop.plan([reminder(start_h=90)])
    shop.push()
    assert "TRIGGER:-PT1H" in shop.held(reminder()), "that hour would stay behind"


def test_an_alarm_set_to_an_hour_of_its_own_follows_the_plan_again(shop):
    shop.plan([reminder()])
    shop.push()
    shop.by_person(reminder(), ("TRIGGER:-PT1H", "TRIGGER;VALUE=DATE-TIME:20261003T010000Z"))
    shop.plan([reminder(start_h=90)])
    shop.push()
    assert "TRIGGER:-PT1H" in shop.held(reminder())


def test_what_was_added_to_a_task_outlives_later_updates(shop):
    shop.plan([task()])
    shop.push()
    shop.by_person(
        task(),
        ("STATUS:NEEDS-ACTION", "STATUS:IN-PROCESS\r\nPERCENT-COMPLETE:40\r\nPRIORITY:1"),
        ("END:VTODO", "\r\n".join(("DTSTART:20261001T070000Z", *OWN_ALARM, "END:VTODO"))),
    )
    for start_h in (50, 20):
        shop.plan([task(start_h=start_h)])
        assert len(shop.push().updated) == 1
        held = shop.held(task())
        for line in ("STATUS:IN-PROCESS", "PERCENT-COMPLETE:40", "PRIORITY:1", "TRIGGER:-P1D"):
            assert line in held
        assert "DTSTART" not in held, "a beginning after the hour it is due would break it"


def test_only_items_about_to_be_replaced_are_read(shop):
    items = [reminder(f"session/slats/{n}/sand") for n in range(4)]
    shop.plan(items)
    shop.push()
    asked, read = [], shop.server.get_many
    shop.server.get_many = lambda names: asked.extend(names) or read(names)
    shop.plan([reminder("session/slats/0/sand", start_h=50), *items[1:3]])
    report = shop.push()
    assert (len(report.updated), len(report.deleted), report.unchanged) == (1, 1, 2)
    assert asked == [f"{items[0].uid}.ics"]
