"""A lint of raw iCalendar bytes against RFC 5545 and our own rules; uses no calendar library."""

import re

CALENDAR_ONCE = {"PRODID", "VERSION"}
CALENDAR_MAY = CALENDAR_ONCE | {
    "NAME",
    "X-WR-CALNAME",
    "REFRESH-INTERVAL",
    "X-PUBLISHED-TTL",
    "X-FINPLAN-STATE",
}
EVENT_ONCE = {
    "UID",
    "DTSTAMP",
    "CREATED",
    "LAST-MODIFIED",
    "SEQUENCE",
    "DTSTART",
    "DTEND",
    "SUMMARY",
    "STATUS",
    "TRANSP",
}
EVENT_MAY = EVENT_ONCE | {"DESCRIPTION", "CATEGORIES", "RRULE"}
TODO_ONCE = (EVENT_ONCE - {"DTSTART", "DTEND", "TRANSP"}) | {"DUE"}
TODO_MAY = TODO_ONCE | {"DESCRIPTION", "CATEGORIES"}
STANDINGS = {
    "VEVENT": ("CONFIRMED", "CANCELLED"),
    "VTODO": ("NEEDS-ACTION", "COMPLETED", "IN-PROCESS", "CANCELLED"),
}
ALARM_ONCE = {"ACTION", "TRIGGER", "DESCRIPTION", "UID"}
TEXTS = {"SUMMARY", "DESCRIPTION", "NAME", "X-WR-CALNAME"}
UTC = re.compile(r"\d{8}T\d{6}Z\Z")
DATE = re.compile(r"\d{8}\Z")
DURATION = re.compile(r"[+-]?P(\d+W|(?=.)(\d+D)?(T(?=\d)(\d+H)?(\d+M)?(\d+S)?)?)\Z")
LINE = re.compile(r"([A-Z][A-Z0-9-]*)((?:;[A-Z0-9-]+=(?:\"[^\"]*\"|[^\";:,]*))*):(.*)\Z", re.DOTALL)


def faults(data):
    """Return what is wrong with the bytes, as short sentences; an empty list is a clean file."""
    found = []
    lines = _unfolded(data, found)
    _structure(lines, found)
    return found


def _unfolded(data, found):
    if not data.endswith(b"\r\n"):
        found.append("the last line does not end in CRLF")
    if re.search(rb"(?<!\r)\n|\r(?!\n)", data):
        found.append("a line end is not CRLF")
    lines = []
    for raw in data.split(b"\r\n")[:-1]:
        if len(raw) > 75:
            found.append("a line is longer than 75 octets")
        try:
            text = raw.decode("utf-8")
        except UnicodeDecodeError:
            found.append("a line is not whole UTF-8")
            text = raw.decode("utf-8", "replace")
        if re.search(r"[\x00-\x08\x0a-\x1f\x7f-\x9f\u2028\u2029]", text):
            found.append("a control character")
        if text[:1] in (" ", "\t"):
            if not lines:
                found.append("a continued line stands first")
                continue
            lines[-1] += text[1:]
        elif not text:
            found.append("an empty line")
        else:
            lines.append(text)
    return lines


def _structure(lines, found):
    if lines[:1] != ["BEGIN:VCALENDAR"] or lines[-1:] != ["END:VCALENDAR"]:
        found.append("it is not one VCALENDAR")
    stack, uids, named, used = [], set(), set(), set()
    for line in lines:
        match = LINE.match(line)
        if match is None:
            found.append(f"not a property line: {line[:40]}")
            continue
        name, parameters, value = match[1], _parameters(match[2]), match[3]
        if name == "BEGIN":
            _begin(value, stack, found)
            stack.append((value, {}))
        elif name == "END":
            if not stack or stack[-1][0] != value:
                found.append(f"END:{value} closes nothing")
                continue
            _close(*stack.pop(), uids, stack, found)
        elif not stack:
            found.append(f"{name} stands outside every component")
        else:
            if stack[-1][0] == "VTIMEZONE" and name == "TZID":
                named.add(value)
            if "TZID" in parameters:
                used.add(parameters["TZID"])
            stack[-1][1].setdefault(name, []).append((parameters, value))
            if stack[-1][0] == "VEVENT" and stack[-1][1].get("_alarm"):
                found.append(f"{name} stands after the alarm")
    if stack:
        found.append(f"{stack[-1][0]} is not closed")
    found.extend(f"TZID {zone} without VTIMEZONE" for zone in sorted(used - named))


def _parameters(text):
    return dict(part.split("=", 1) for part in text.split(";")[1:])


def _begin(value, stack, found):
    inside = stack[-1][0] if stack else None
    allowed = {
        None: {"VCALENDAR"},
        "VCALENDAR": {"VEVENT", "VTODO", "VTIMEZONE"},
        "VEVENT": {"VALARM"},
    }
    if value not in allowed.get(inside, set()):
        found.append(f"{value} may not stand in {inside}")


def _close(component, properties, uids, stack, found):
    alarms = properties.pop("_alarm", 0)
    for name, values in properties.items():
        for parameters, value in values:
            _value(component, name, parameters, value, found)
    if component == "VCALENDAR":
        _names(component, properties, CALENDAR_ONCE, CALENDAR_MAY, found)
    elif component == "VEVENT":
        _names(component, properties, EVENT_ONCE, EVENT_MAY, found)
        _event(properties, alarms, uids, found)
    elif component == "VTODO":
        _names(component, properties, TODO_ONCE, TODO_MAY, found)
        _item(component, properties, uids, found)
    elif component == "VALARM":
        _names(component, properties, ALARM_ONCE, ALARM_ONCE, found)
        _alarm(properties, stack, uids, found)


def _names(component, properties, once, may, found):
    found.extend(f"{component} lacks {name}" for name in sorted(once - properties.keys()))
    found.extend(f"{name} may not stand in {component}" for name in sorted(properties.keys() - may))
    found.extend(
        f"{name} stands {len(values)} times" for name, values in properties.items() if values[1:]
    )


def _value(component, name, parameters, value, found):
    if name in TEXTS and re.search(r"(?<!\\)(?:\\\\)*\\(?![\\;,nN])|(?<!\\)(?:\\\\)*[;,]", value):
        found.append(f"{name} is not escaped")
    if name in ("DTSTAMP", "CREATED", "LAST-MODIFIED") and not UTC.match(value):
        found.append(f"{name} is not in UTC")
    if name in ("DTSTART", "DTEND", "DUE"):
        dated = parameters.get("VALUE") == "DATE"
        if dated != bool(DATE.match(value)):
            found.append(f"{name} says DATE and is none, or is one and does not say so")
        elif not dated and not UTC.match(value) and "TZID" not in parameters:
            found.append(f"{name} is floating")
    if name == "SEQUENCE" and not value.isdecimal():
        found.append("SEQUENCE is no whole number")
    if name == "VERSION" and value != "2.0":
        found.append("VERSION is not 2.0")
    if name in ("TRIGGER", "REFRESH-INTERVAL", "X-PUBLISHED-TTL") and not DURATION.match(value):
        found.append(f"{name} is no length of time")
    if name == "REFRESH-INTERVAL" and parameters.get("VALUE") != "DURATION":
        found.append("REFRESH-INTERVAL does not say DURATION")


def _event(properties, alarms, uids, found):
    _item("VEVENT", properties, uids, found)
    start, end = _first(properties, "DTSTART"), _first(properties, "DTEND")
    if len(start) != len(end):
        found.append("DTSTART and DTEND mix DATE and DATE-TIME")
    elif end <= start:
        found.append("DTEND is not after DTSTART")
    if _first(properties, "STATUS") == "CANCELLED" and alarms:
        found.append("a cancelled item rings")
    if alarms > 1:
        found.append("more than one alarm")


def _item(component, properties, uids, found):
    uid = _first(properties, "UID")
    if uid in uids:
        found.append("two items share a UID")
    uids.add(uid)
    if _first(properties, "STATUS") not in STANDINGS[component]:
        found.append("STATUS is unknown")
    if _first(properties, "LAST-MODIFIED") != _first(properties, "DTSTAMP"):
        found.append("LAST-MODIFIED is not DTSTAMP")
    if _first(properties, "CREATED") > _first(properties, "DTSTAMP"):
        found.append("CREATED is after DTSTAMP")


def _alarm(properties, stack, uids, found):
    if _first(properties, "ACTION") != "DISPLAY":
        found.append("ACTION is not DISPLAY")
    uid = _first(properties, "UID")
    if uid in uids:
        found.append("two items share a UID")
    uids.add(uid)
    if not stack or stack[-1][0] != "VEVENT":
        return
    event = stack[-1][1]
    event["_alarm"] = event.get("_alarm", 0) + 1
    day = DATE.match(_first(event, "DTSTART"))
    if day and not _first(properties, "TRIGGER").startswith("-"):
        found.append("an all-day item rings after its midnight")


def _first(properties, name):
    return properties.get(name, [({}, "")])[0][1]
