"""Pieces in use and their years as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from finplan.cli import show

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.services.upkeep import PieceSeen, YearsAhead


def piece_json(seen: PieceSeen) -> dict[str, Any]:
    """Return a piece in use, and what comes next."""
    return {
        "name": seen.piece.name,
        "title": seen.piece.title,
        "place": seen.piece.place,
        "finish": seen.piece.finish,
        "gone": show.iso(seen.gone.at) if seen.gone is not None else None,
        "interval_months": round(seen.outlook.interval_months, 2),
        "others": seen.outlook.others,
        "next": {
            coming.work.value: {
                "due": coming.due.isoformat(),
                "on": coming.on.isoformat(),
                "sentence": coming.sentence,
            }
            for coming in seen.outlook.coming
        },
        "renewal_litres": round(seen.effort.litres, 3),
        "renewal_cost": seen.effort.cost,
        "renewal_out_hours": round(seen.effort.out_hours, 1),
        "advice": list(seen.outlook.advice),
    }


def window_json(opened: Session, seen: PieceSeen) -> dict[str, Any]:
    """Return the best time of its next renewal, or why there is none."""
    from finplan.services.windows import renewal_project, window_of
    from finplan.tracking.upkeep.window import Window

    found = window_of(opened, seen)
    if not isinstance(found, Window):
        return {"window": None, "no_window": found.sentence, "project": None}
    told = {
        "start": show.iso(found.start),
        "wood_dry": show.iso(found.dry),
        "coat": show.iso(found.coat),
        "end": show.iso(found.end),
        "out_hours": round(found.out_hours, 2),
        "known_from": [source.value for source in found.known_from],
        "too_long": found.too_long,
    }
    return {"window": told, "no_window": "", "project": renewal_project(opened, seen.piece)}


def log_json(seen: PieceSeen) -> dict[str, Any]:
    """Return its whole log."""
    from finplan.trade.plain import to_plain

    return {
        "log": [
            to_plain(entry) | {"at": show.iso(entry.at), "recorded_at": show.iso(entry.recorded_at)}
            for entry in seen.entries
        ]
    }


def years_json(opened: Session, ahead: YearsAhead) -> dict[str, Any]:
    """Return the pieces, visits and sums of the years ahead."""
    return {
        "now": show.iso(opened.now),
        "pieces": [piece_json(one) for one in ahead.pieces],
        **visits_json(ahead),
    }


def visits_json(ahead: YearsAhead) -> dict[str, Any]:
    """Return the visits of the years ahead, and each year's sums."""
    return {
        "visits": [
            {
                "on": one.on.isoformat(),
                "piece": one.piece,
                "place": one.place,
                "work": one.work.value,
                "bundled": one.bundled,
                "moved_from": one.moved_from.isoformat() if one.moved_from else None,
            }
            for one in ahead.visits
        ],
        "years": [
            {
                "year": one.year,
                "trips": one.trips,
                "trips_saved": one.saved,
                "renewals": one.renewals,
                "out_hours": round(one.out_hours, 1),
                "litres": round(one.litres, 3),
                "cost": one.cost,
            }
            for one in ahead.sums
        ],
    }
