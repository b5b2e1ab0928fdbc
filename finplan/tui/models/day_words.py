"""Rules for days in plain words: ``fri, sat``, ``last sat``, ``every 6 months``, or as RFC 5545."""

from __future__ import annotations

import re

from finplan.tracking.upkeep.pieces import check_endless_rule
from finplan.trade.errors import BadInput
from finplan.trade.moments import WEEKDAYS
from finplan.trade.names import shown
from finplan.tui.models.forms import Reader, Understood

_DAYS = {name.lower(): name.upper()[:2] for name in WEEKDAYS}
_WHICH = {"first": "1", "second": "2", "third": "3", "fourth": "4", "last": "-1"}
_YEARLY = ("yearly", "every year", "a year")


def days_reader(text: str) -> Understood:
    """Read on which days work is wished; empty means any day."""
    words = text.strip()
    if not words:
        return "", "any day"
    if "=" in words:
        return _rule(words)
    plain = words.lower().replace("weekends", "sat, sun").replace("weekend", "sat, sun")
    which, _, rest = plain.partition(" ")
    if which in _WHICH and _day_code(rest):
        return _rule(f"FREQ=MONTHLY;BYDAY={_WHICH[which]}{_day_code(rest)}")
    codes = [_day_code(part) for part in re.split(r"[,\s]+", plain) if part != "and"]
    if all(codes):
        return _rule(f"FREQ=WEEKLY;BYDAY={','.join(code for code in codes if code)}")
    raise BadInput(f"{shown(words)} are no days: write e.g. sat, fri or last sat")


def cycle_reader(usual: str) -> Reader:
    """Return a reader of a fixed cycle; empty leaves it to what ``usual`` says."""

    def read(text: str) -> Understood:
        words = text.strip().lower()
        if not words:
            return "", usual
        if "=" in words:
            return _rule(text.strip())
        if words in _YEARLY:
            return _rule("FREQ=YEARLY")
        found = re.fullmatch(r"(?:every\s+)?([1-9]\d{0,2})\s*(weeks?|months?|years?)", words)
        if found is None:
            raise BadInput(f"{shown(words)} is no cycle: write e.g. every 6 months or yearly")
        unit = {"w": "WEEKLY", "m": "MONTHLY", "y": "YEARLY"}[found[2][0]]
        return _rule(f"FREQ={unit};INTERVAL={int(found[1])}")

    return read


def rule_text(rule: str) -> str:
    """Return a rule as one would type it into a form: in words where there are some."""
    plain = rule.upper().removeprefix("RRULE:").rstrip(";")
    if plain == "FREQ=YEARLY":
        return "yearly"
    every = re.fullmatch(r"FREQ=(WEEK|MONTH|YEAR)LY;INTERVAL=(\d+)", plain)
    if every:
        return f"every {every[2]} {every[1].lower()}s"
    weekly = re.fullmatch(r"FREQ=WEEKLY;BYDAY=([A-Z,]+)", plain)
    names = {code: name for name, code in _DAYS.items()}
    if weekly and all(code in names for code in weekly[1].split(",")):
        return ", ".join(names[code] for code in weekly[1].split(","))
    monthly = re.fullmatch(r"FREQ=MONTHLY;BYDAY=(-?\d)([A-Z]{2})", plain)
    which = {number: word for word, number in _WHICH.items()}
    if monthly and monthly[1] in which and monthly[2] in names:
        return f"{which[monthly[1]]} {names[monthly[2]]}"
    return rule


def _day_code(word: str) -> str:
    short = word.strip().removesuffix("s")[:3] if len(word.strip()) >= 3 else ""
    return _DAYS.get(short, "")


def _rule(rule: str) -> Understood:
    check_endless_rule(rule)
    words = rule_text(rule)
    return rule, f"= {words}" if words != rule else "= by this rule"
