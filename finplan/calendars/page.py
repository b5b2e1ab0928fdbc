"""The page 'what now': what is due, dries and wants upkeep, for the phone in the apron pocket."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from html import escape

from finplan.calendars.clean import clean_line
from finplan.tracking.drying_now import Drying
from finplan.tracking.due import DueItem, DueState
from finplan.tracking.reminder import GOVERNS
from finplan.tracking.wording import clock_words
from finplan.trade.moments import short_moment
from finplan.trade.steps import of_loads

_SIGNS = {
    DueState.OVERDUE: "!",
    DueState.NOW: "▶",
    DueState.CLOSING: "◆",
    DueState.SOON: "·",
}
"""Signs beside the colours, for those who don't see red and green."""

_STYLE = """
:root{color-scheme:light dark;--ink:#2b2218;--paper:#faf6ee;--line:#d8cbb5;--bar:#8a5a1f;
--late:#a3281e}
@media(prefers-color-scheme:dark){:root{--ink:#efe6d8;--paper:#1f1a14;--line:#4d4234;--bar:#d79a4a;
--late:#ff8a78}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:44rem;padding:1rem;background:var(--paper);color:var(--ink);
font:1.05rem/1.45 system-ui,sans-serif;overflow-wrap:anywhere}
h1{font-size:1.35rem;margin:.2rem 0}h2{font-size:1.1rem;margin:1.4rem 0 .4rem}
ul{list-style:none;margin:0;padding:0}
li{border-top:1px solid var(--line);padding:.6rem 0}
.sign{display:inline-block;width:1.4rem;font-weight:700}
.overdue{color:var(--late);font-weight:600}
small{display:block;margin-left:1.4rem;opacity:.85}
progress{width:100%;height:.8rem;accent-color:var(--bar)}
footer{border-top:1px solid var(--line);margin-top:1.6rem;padding-top:.6rem;font-size:.9rem}
"""


def what_now_page(
    due: Sequence[DueItem],
    drying: Sequence[Drying],
    upkeep: Sequence[tuple[DueItem, dt.tzinfo]],
    zone: dt.tzinfo,
    now: dt.datetime,
) -> bytes:
    """Return the page as UTF-8 HTML; it needs no script and loads nothing else.

    Args:
        due: what is to do in the workshops.
        drying: what dries there.
        upkeep: what is due on pieces in use, each with the zone of its place; its section is
            left out where there is none.
        zone: the workshop's.
        now: the hour, timezone-aware.
    """
    body = [
        f"<h1>What now</h1><p>{escape(short_moment(now, zone))}</p>",
        _section("To do", [_due(item, zone) for item in due], "Nothing is due."),
        _section("Drying", [_drying(surface, zone) for surface in drying], "Nothing is drying."),
        _section("Upkeep", [_due(*one) for one in upkeep], "") if upkeep else "",
        f"<footer>{escape(GOVERNS)}</footer>",
    ]
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        '<meta http-equiv="refresh" content="300">'
        f"<title>What now – finplan</title><style>{_STYLE}</style></head>"
        f"<body><main>{''.join(body)}</main></body></html>\n"
    ).encode()


def _section(title: str, items: list[str], empty: str) -> str:
    inside = f"<ul>{''.join(items)}</ul>" if items else f"<p>{escape(empty)}</p>"
    return f"<section><h2>{escape(title)}</h2>{inside}</section>"


def _due(item: DueItem, zone: dt.tzinfo) -> str:
    overdue = ' class="overdue"' if item.state is DueState.OVERDUE else ""
    return (
        f'<li{overdue}><span class="sign" aria-hidden="true">{_SIGNS[item.state]}</span>'
        f"{_text(item.what)}<small>{_text(item.project)} · {_text(item.state.value)} · "
        f"{_text(_stretch(item, zone))}</small></li>"
    )


def _stretch(item: DueItem, zone: dt.tzinfo) -> str:
    if item.state is DueState.CLOSING:
        return f"until {short_moment(item.until, zone)}"
    same_day = item.at.astimezone(zone).date() == item.until.astimezone(zone).date()
    until = clock_words(item.until, zone) if same_day else short_moment(item.until, zone)
    if item.at == item.until:
        return f"from {short_moment(item.at, zone)}"
    return f"{short_moment(item.at, zone)} to {until}"


def _drying(surface: Drying, zone: dt.tzinfo) -> str:
    load = of_loads(surface.load, surface.loads)
    share = round(100 * surface.safe_share)
    words = [f"{surface.goal.value}: {share} % of the safe time"]
    if surface.likely is not None and surface.safe is not None:
        words.append(
            f"likely {short_moment(surface.likely, zone)}, safe {short_moment(surface.safe, zone)}"
        )
    if surface.window_closes is not None:
        words.append(f"next coat until {short_moment(surface.window_closes, zone)}")
    return (
        f"<li>{_text(surface.title)}: {_text(surface.batch + load)}"
        f'<progress max="100" value="{share}">{share} %</progress>'
        f"<small>{_text(' · '.join(words))}</small></li>"
    )


def _text(words: str) -> str:
    return escape(clean_line(words))
