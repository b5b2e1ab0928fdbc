"""The lint sees every fault planted in a clean file, so a clean lint means something."""

import pytest

from tests.calendars.lint import faults
from tests.calendars.shop import exported, some_reminders, task

CLEAN = exported((*some_reminders(), task()))


def swap(old, new, count=1):
    def plant(data):
        assert old in data, old
        return data.replace(old, new, count)

    return plant


def event_line(line):
    return swap(b"BEGIN:VEVENT\r\n", b"BEGIN:VEVENT\r\n" + line + b"\r\n")


def cut_line(name):
    def plant(data):
        begin = data.index(b"\r\n" + name) + 2
        end = begin
        while True:
            end = data.index(b"\r\n", end) + 2
            if data[end : end + 1] not in (b" ", b"\t"):
                return data[:begin] + data[end:]

    return plant


def double_event(data):
    begin, end = data.index(b"BEGIN:VEVENT"), data.index(b"END:VEVENT") + len(b"END:VEVENT\r\n")
    return data[:end] + data[begin:end] + data[end:]


def split_letter(data):
    at = data.index("–".encode()) if "–".encode() in data else data.index("²".encode())
    return data[: at + 1] + b"\r\n " + data[at + 1 :]


def property_after_alarm(data):
    return data.replace(b"END:VALARM\r\n", b"END:VALARM\r\nPRIORITY:5\r\n", 1)


FAULTS = {
    "bare line feed": swap(b"\r\n", b"\n"),
    "bare carriage return": swap(b"VERSION:2.0\r\n", b"VERSION:2.0\r\r\n"),
    "no line end at the end": lambda data: data[:-2],
    "line too long": swap(b"BEGIN:VEVENT\r\n", b"BEGIN:VEVENT\r\nCOMMENT:" + b"x" * 80 + b"\r\n"),
    "letter cut in two": split_letter,
    "not UTF-8": swap(b"SUMMARY:", b"SUMMARY:\xff"),
    "control character": swap(b"SUMMARY:", b"SUMMARY:\x1b[31m"),
    "NUL": swap(b"DESCRIPTION:", b"DESCRIPTION:\x00"),
    "unicode next line": swap(b"SUMMARY:", b"SUMMARY:\xc2\x85"),
    "unicode line separator": swap(b"SUMMARY:", b"SUMMARY:\xe2\x80\xa8"),
    "empty line": swap(b"VERSION:2.0\r\n", b"VERSION:2.0\r\n\r\n"),
    "injected property": event_line(b"ATTACH:https://example.org/x"),
    "organizer": event_line(b"ORGANIZER:mailto:someone@example.org"),
    "method": swap(b"VERSION:2.0\r\n", b"VERSION:2.0\r\nMETHOD:PUBLISH\r\n"),
    "calendar uid": swap(b"VERSION:2.0\r\n", b"VERSION:2.0\r\nUID:one\r\n"),
    "zone without definition": swap(b"DTEND:", b"DTEND;TZID=Europe/Oslo:"),
    "floating time": lambda data: data.replace(
        (line := data.split(b"DTSTART:")[1][:16]), line[:-1], 1
    ),
    "date and time mixed": lambda data: data.replace(
        b"DTEND:" + (line := data.split(b"DTEND:")[1][:16]),
        b"DTEND;VALUE=DATE:" + line[:8],
        1,
    ),
    "date that does not say so": swap(b"DTSTART;VALUE=DATE:", b"DTSTART:"),
    "duplicate uid": double_event,
    "no uid": cut_line(b"UID:"),
    "no stamp": cut_line(b"DTSTAMP:"),
    "no start": cut_line(b"DTSTART:"),
    "no end": cut_line(b"DTEND:"),
    "no product": cut_line(b"PRODID:"),
    "no version": cut_line(b"VERSION:"),
    "no sequence": cut_line(b"SEQUENCE:"),
    "sequence below zero": swap(b"SEQUENCE:", b"SEQUENCE:-"),
    "comma not escaped": swap(b"\\,", b","),
    "wrong escape": swap(b"SUMMARY:", b"SUMMARY:\\x"),
    "alarm without trigger": cut_line(b"TRIGGER:"),
    "alarm by sound": swap(b"ACTION:DISPLAY", b"ACTION:AUDIO"),
    "alarm without words": lambda data: _without_alarm_words(data),
    "alarm without uid": lambda data: _without_alarm_uid(data),
    "trigger is no duration": swap(b"TRIGGER:-PT1H", b"TRIGGER:1 hour before"),
    "all-day alarm in the day": swap(b"TRIGGER:-PT15H", b"TRIGGER:PT9H"),
    "property after the alarm": property_after_alarm,
    "unclosed event": swap(b"END:VEVENT\r\n", b""),
    "alarm outside an event": swap(
        b"BEGIN:VEVENT\r\n", b"BEGIN:VALARM\r\nEND:VALARM\r\nBEGIN:VEVENT\r\n"
    ),
    "summary twice": event_line(b"SUMMARY:again"),
    "refresh without its type": swap(b"REFRESH-INTERVAL;VALUE=DURATION:", b"REFRESH-INTERVAL:"),
    "unknown status": swap(b"STATUS:CONFIRMED", b"STATUS:MAYBE"),
    "end before start": lambda data: data.replace(
        data.split(b"DTEND:")[1][:16], b"20000101T000000Z", 1
    ),
    "changed after its stamp": swap(b"LAST-MODIFIED:2026", b"LAST-MODIFIED:2027"),
    "task not due": cut_line(b"DUE:"),
    "task due at a floating hour": lambda data: data.replace(
        (line := data.split(b"DUE:")[1][:16]), line[:-1], 1
    ),
    "task that takes time": swap(b"BEGIN:VTODO\r\n", b"BEGIN:VTODO\r\nTRANSP:OPAQUE\r\n"),
    "task of no standing": swap(b"STATUS:NEEDS-ACTION", b"STATUS:CONFIRMED"),
}


SEEN_AS = {
    "bare line feed": "a line end is not CRLF",
    "bare carriage return": "a line end is not CRLF",
    "no line end at the end": "the last line does not end in CRLF",
    "line too long": "a line is longer than 75 octets",
    "letter cut in two": "a line is not whole UTF-8",
    "not UTF-8": "a line is not whole UTF-8",
    "control character": "a control character",
    "NUL": "a control character",
    "unicode next line": "a control character",
    "unicode line separator": "a control character",
    "empty line": "an empty line",
    "injected property": "ATTACH may not stand in VEVENT",
    "organizer": "ORGANIZER may not stand in VEVENT",
    "method": "METHOD may not stand in VCALENDAR",
    "calendar uid": "UID may not stand in VCALENDAR",
    "zone without definition": "TZID Europe/Oslo without VTIMEZONE",
    "floating time": "DTSTART is floating",
    "date and time mixed": "DTSTART and DTEND mix DATE and DATE-TIME",
    "date that does not say so": "DTSTART says DATE and is none, or is one and does not say so",
    "duplicate uid": "two items share a UID",
    "no uid": "VEVENT lacks UID",
    "no stamp": "VEVENT lacks DTSTAMP",
    "no start": "VEVENT lacks DTSTART",
    "no end": "VEVENT lacks DTEND",
    "no product": "VCALENDAR lacks PRODID",
    "no version": "VCALENDAR lacks VERSION",
    "no sequence": "VEVENT lacks SEQUENCE",
    "sequence below zero": "SEQUENCE is no whole number",
    "comma not escaped": "SUMMARY is not escaped",
    "wrong escape": "SUMMARY is not escaped",
    "alarm without trigger": "VALARM lacks TRIGGER",
    "alarm by sound": "ACTION is not DISPLAY",
    "alarm without words": "VALARM lacks DESCRIPTION",
    "alarm without uid": "VALARM lacks UID",
    "trigger is no duration": "TRIGGER is no length of time",
    "all-day alarm in the day": "an all-day item rings after its midnight",
    "property after the alarm": "PRIORITY stands after the alarm",
    "unclosed event": "VEVENT may not stand in VEVENT",
    "alarm outside an event": "VALARM may not stand in VCALENDAR",
    "summary twice": "SUMMARY stands 2 times",
    "refresh without its type": "REFRESH-INTERVAL does not say DURATION",
    "unknown status": "STATUS is unknown",
    "end before start": "DTEND is not after DTSTART",
    "changed after its stamp": "LAST-MODIFIED is not DTSTAMP",
    "task not due": "VTODO lacks DUE",
    "task due at a floating hour": "DUE is floating",
    "task that takes time": "TRANSP may not stand in VTODO",
    "task of no standing": "STATUS is unknown",
}


def _without_alarm_words(data):
    begin = data.index(b"BEGIN:VALARM")
    return data[:begin] + cut_line(b"DESCRIPTION:")(data[begin:])


def _without_alarm_uid(data):
    begin = data.index(b"BEGIN:VALARM")
    return data[:begin] + cut_line(b"UID:")(data[begin:])


def test_the_clean_file_is_clean():
    assert faults(CLEAN) == []


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_seen(name):
    planted = FAULTS[name](CLEAN)
    assert planted != CLEAN
    assert SEEN_AS[name] in faults(planted)
