"""Ringing what is due on this machine: each alarm once, and only what was really delivered."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.calendar import reminders, reminders_of_pieces
from finplan.services.planned import all_planned
from finplan.services.reminding import kept_settings
from finplan.services.settled import held_still
from finplan.services.upkeep import seen_pieces
from finplan.tracking.alarms import alarm_key, alarms_to_ring
from finplan.tracking.reminder import Reminder
from finplan.trade.moments import find_zone

if TYPE_CHECKING:
    from finplan.alerts.rung import Alarm
    from finplan.services.session import Session


@dataclass(frozen=True, slots=True)
class Rang:
    """What rang now. ``failures`` say why something did not; ``busy``: another run is at it."""

    titles: tuple[str, ...]
    failures: tuple[str, ...]
    busy: bool = False


def ring_due(
    session: Session,
    memory: Path,
    send: Callable[[str, str], None] | None = None,
    also: Iterable[Alarm] = (),
) -> Rang:
    """Ring every alarm that has come and did not ring here yet.

    Args:
        session: the open session.
        memory: the file that remembers what rang on this machine.
        send: shows a title and a text; None for a desktop notice. It raises
            ``alerts.notice.NotDelivered`` where nobody can have seen it.
        also: alarms beside those of the reminders; they ring once like them.

    Raises:
        BadInput: the memory can't be written, or there is no plan.
    """
    from finplan.alerts.notice import Notice, send_notice
    from finplan.alerts.rung import Alarm, deliver, opened

    def show(alarm: Alarm) -> None:
        if send is None:
            send_notice(Notice(alarm.title, alarm.body))
        else:
            send(alarm.title, alarm.body)

    with opened(memory) as rung:
        if rung is None:
            return Rang((), (), busy=True)
        alarms = [
            *(Alarm(alarm_key(one), one.title, one.text) for one in _ringing(session, rung.keys)),
            *also,
        ]
        delivery = deliver(alarms, rung, show, session.now)
    titles = {alarm.key: alarm.title for alarm in alarms}
    return Rang(tuple(titles[key] for key in delivery.delivered), delivery.failures)


def memory_path() -> Path:
    """Return where this machine remembers what rang."""
    import platformdirs

    return platformdirs.user_state_path("finplan", appauthor=False) / "rung.json"


def _ringing(session: Session, rung: frozenset[str]) -> list[Reminder]:
    settings = kept_settings(session)
    making = [
        reminder
        for seen in all_planned(session)
        for reminder in alarms_to_ring(
            reminders(held_still(session, seen), settings),
            rung,
            session.now,
            settings,
            seen.zone,
        )
    ]
    upkeep = [
        reminder
        for one in seen_pieces(session)
        for reminder in alarms_to_ring(
            reminders_of_pieces(session, [one], settings),
            rung,
            session.now,
            settings,
            find_zone(one.piece.zone),
        )
    ]
    return making + upkeep
