"""Keep the plan people last saw, so that the next one holds to it and can say what moved."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from finplan.planning.changes import changes
from finplan.planning.kept import kept
from finplan.planning.summed_up import summed_up
from finplan.services.gather import active_projects, kept_key, last_kept
from finplan.services.planned import Planned, planned
from finplan.trade.errors import BadInput
from finplan.trade.plain import to_plain

if TYPE_CHECKING:
    from finplan.planning.changes import Change
    from finplan.planning.kept import KeptPlan
    from finplan.services.session import Session
    from finplan.store.store import Unit


def keep(
    session: Session, seen: Planned, moved: tuple[Change, ...] = (), *, undone: bool = False
) -> None:
    """Keep a plan that is shown to a person, and the one kept before it for an undo.

    A plan made backwards from a date answers a question of its own, and is not kept.

    Args:
        session: the open session.
        seen: the plan.
        moved: what moved by it.
        undone: it follows an undo or redo, so the one to go back to stays.
    """
    if seen.request.ready_by is not None or session.store.read_only:
        return
    key = kept_key(seen.workshop.name)
    with session.store.unit() as unit:
        if not undone:
            unit.settings.put(_before(key), unit.settings.get(key))
        short = summed_up(moved)
        plan = replace(
            kept(seen.plan),
            moved=tuple(one.sentence for one in moved),
            moved_of=tuple(one.project for one in moved),
            summed_up=tuple(one.sentence for one in short),
            summed_up_of=tuple(one.project for one in short),
        )
        unit.settings.put(key, to_plain(plan))
        unit.commit()


def last_shown(session: Session, before: Planned | None) -> KeptPlan | None:
    """Return the plan people saw last, to compare with what comes; ``before`` is of now.

    Where none was kept yet the present one is, and is taken for it.
    """
    if before is None:
        return None
    if before.request.before is None:
        keep(session, before)
    return before.request.before or kept(before.plan)


def swap_kept(unit: Unit, workshop: str) -> KeptPlan | None:
    """Take the plan kept before the last one for the last: what is undone goes back to it.

    Returns:
        The plan people saw last, to compare with what comes.
    """
    shown, key = last_kept(unit, workshop), kept_key(workshop)
    last, before = unit.settings.get(key), unit.settings.get(_before(key))
    unit.settings.put(key, before)
    unit.settings.put(_before(key), last)
    return shown


def replanned(
    session: Session,
    names: tuple[str, ...],
    shown: KeptPlan | None = None,
    *,
    undone: bool = False,
) -> tuple[Planned | None, tuple[str, ...]]:
    """Plan anew after a change of the data, keep the plan, and return it with what moved.

    What moved is summed up. Where no plan is possible there is none, and the sentence says why.

    Args:
        session: the open session.
        names: projects of one workshop.
        shown: the plan to compare with; None for the one last kept.
        undone: the change was an undo or redo.
    """
    try:
        seen = planned(session, names)
    except BadInput as fault:
        return None, (f"no plan is possible now: {fault}",)
    told = changes(shown, seen.plan, seen.zone) if shown is not None else seen.changes
    keep(session, seen, told, undone=undone)
    return seen, tuple(one.sentence for one in summed_up(told))


def workshop_replanned(
    session: Session, workshop: str, shown: KeptPlan | None = None, *, undone: bool = False
) -> tuple[str, ...]:
    """Plan a workshop anew after its air or hours changed, keep the plan, say what moved.

    Args:
        session: the open session.
        workshop: its name.
        shown: the plan to compare with; None for the one last kept.
        undone: the change was an undo or redo.
    """
    with session.store.unit(writes=False) as unit:
        names = tuple(one.name for one in active_projects(unit) if one.workshop == workshop)
    return replanned(session, names, shown, undone=undone)[1] if names else ()


def _before(key: str) -> str:
    return f"{key}, the one before"
