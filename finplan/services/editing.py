"""Change a project so that it can be taken back: parts, batches, finishing schedules."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.journal.fold import progress
from finplan.services.keep import last_shown, replanned, swap_kept
from finplan.services.whole import check_whole
from finplan.services.write import moment_after_all, plan_or_none
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_moment
from finplan.trade.plain import from_plain, to_json
from finplan.trade.project import Batch, Project

if TYPE_CHECKING:
    from finplan.journal.progress import Progress
    from finplan.services.planned import Planned
    from finplan.services.session import Session
    from finplan.store.edits import Edit
    from finplan.store.store import Unit


@dataclass(frozen=True, slots=True)
class Edited:
    """A change in words of a project, or of a workshop or its air, and what it did to the dates.

    ``of`` is the project's or workshop's name. What ``moved`` of a project begins with its date.
    """

    of: str
    words: str
    moved: tuple[str, ...] = ()


def edit_project(
    session: Session,
    name: str,
    expected_version: int | None,
    change: Callable[[Project], Project],
    words: str,
) -> Edited:
    """Keep a changed project, so that it can be taken back.

    Args:
        session: the open session.
        name: the project's name.
        expected_version: the version the person saw; None where the change fits any.
        change: gets the project as it is, returns it as it should be.
        words: what is changed, for people.

    Raises:
        BadInput: it cannot be made so, steps that are recorded would change their order, or
            somebody else changed it since it was read. Nothing is kept then.
    """
    before = plan_or_none(session, name)
    shown = last_shown(session, before)
    with session.store.unit() as unit:
        old = unit.projects.get(name)
        new = change(old)
        _keep_recorded_order(old, new, progress(unit.journal.of(name), old))
        check_whole(unit, new)
        if new == old:
            return Edited(name, "nothing was changed")
        unit.projects.put(new, expected_version)
        keep_edit(session, unit, old, new, words)
        unit.commit()
    after, moved = replanned(session, (name,), shown)
    return Edited(name, words, (*_date_moved(name, before, after), *moved))


def keep_edit(session: Session, unit: Unit, old: Project, new: Project, words: str) -> None:
    """Remember an edit in the unit of work that makes it."""
    before, after = differing(_plain(old), _plain(new))
    unit.edits.add(old.uid, moment_after_all(session, unit, old), words, before, after)


def differing(
    was: Mapping[str, object], is_now: Mapping[str, object]
) -> tuple[dict[str, object], dict[str, object]]:
    """Return the fields that changed, as they were and as they are."""
    changed = [field for field in was if was[field] != is_now[field]]
    return {one: was[one] for one in changed}, {one: is_now[one] for one in changed}


def take_back(session: Session, edit: Edit) -> Edited:
    """Undo an edit.

    Raises:
        BadInput: what it changed was changed again since, or what it added is recorded as done.
    """
    return _turn(session, edit, edit.after, edit.before, undo=True)


def bring_back(session: Session, edit: Edit) -> Edited:
    """Do an edit again that was undone.

    Raises:
        BadInput: what it changed was changed since.
    """
    return _turn(session, edit, edit.before, edit.after, undo=False)


def _turn(
    session: Session,
    edit: Edit,
    expected: Mapping[str, object],
    wanted: Mapping[str, object],
    *,
    undo: bool,
) -> Edited:
    with session.store.unit(writes=False) as unit:
        name = unit.projects.named(edit.of)
    if name is None:
        raise BadInput(f"{edit.words}: that project is not there any more")
    before = plan_or_none(session, name)
    shown = last_shown(session, before)
    with session.store.unit() as unit:
        old = unit.projects.get(name)
        plain = _plain(old)
        refuse_changed(edit, plain, expected, f"project {name}", undo=undo)
        new = from_plain(Project, {**plain, **wanted}, f"project {name!r}")
        _keep_recorded_order(old, new, progress(unit.journal.of(name), old))
        check_whole(unit, new)
        unit.projects.put(new)
        unit.edits.mark(edit, moment_after_all(session, unit, old) if undo else None)
        swap_kept(unit, new.workshop)
        unit.commit()
    after, moved = replanned(session, (new.name,), shown, undone=True)
    return Edited(new.name, edit.words, (*_date_moved(name, before, after), *moved))


def refuse_changed(
    edit: Edit,
    plain: Mapping[str, object],
    expected: Mapping[str, object],
    where: str,
    *,
    undo: bool,
) -> None:
    """Refuse to turn an edit where the fields it changed are not as it left them.

    Raises:
        BadInput: somebody changed one of them since.
    """
    for field, value in expected.items():
        if plain[field] != value:
            word = "undone" if undo else "done again"
            raise BadInput(
                f"{edit.words!r} cannot be {word}: the {field.replace('_', ' ')} changed since; "
                "change it by hand",
                where,
            )


def _plain(project: Project) -> dict[str, object]:
    told: dict[str, object] = json.loads(to_json(project))
    return told


def _keep_recorded_order(old: Project, new: Project, facts: Progress) -> None:
    """Refuse what adds, moves or takes out steps before one that is recorded."""
    batches = {batch.name: batch for batch in new.batches}
    for batch in old.batches:
        recorded = {step for name, _, step in facts.done if name == batch.name}
        places = [at for at, step in enumerate(batch.steps) if step.key in recorded]
        if not places:
            continue
        first = _keys(batch)[: places[-1] + 1]
        if batch.name not in batches or _keys(batches[batch.name])[: len(first)] != first:
            raise BadInput(
                f"{batch.steps[places[-1]].title} is recorded already: steps can be added, moved "
                "and taken out only after it",
                f"batch {batch.name}",
            )


def _keys(batch: Batch) -> list[str]:
    return [step.key for step in batch.steps]


def _date_moved(name: str, before: Planned | None, after: Planned | None) -> tuple[str, ...]:
    """Return what became of the project's own date, where that changed."""
    was = before.ready_of(name) if before else None
    is_now = after.ready_of(name) if after else None
    if after is None or was is None or is_now is None or was.safe == is_now.safe:
        return ()
    when, once = (say_moment(at, after.zone) for at in (is_now.safe, was.safe))
    return (f"Ready {when} instead of {once}",)
