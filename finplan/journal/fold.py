"""The journal folded into facts: how far each load is."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.progress import Check, Done, Progress
from finplan.journal.standing import standing_entries
from finplan.trade.finishes import Stage
from finplan.trade.project import Project
from finplan.trade.steps import Step, cut_at_joining

StepOfLoad = tuple[str, int, str]
"""Batch, load from 1, step key."""


def progress(entries: Iterable[Entry], project: Project) -> Progress:
    """Fold a journal into what is so for ``project``.

    The order the entries are stored in does not matter. Entries of other projects are left out,
    and so are steps the project no longer has. A step that was not recorded though a later one
    of its load was counts as skipped when that later one began: nobody can do it any more.
    """
    standing = [entry for entry in standing_entries(entries) if entry.project == project.name]
    done = _done(standing)
    known = {(batch.name, step.key) for batch in project.batches for step in batch.steps}
    loads = _loads(standing, {batch for batch, _ in known})
    _skip_what_was_passed(done, project, loads)
    kept = {key: fact for key, fact in done.items() if (key[0], key[2]) in known}
    return Progress(
        done=kept,
        loads=loads,
        checks=tuple(_check(entry) for entry in standing if entry.kind is EntryKind.DRYNESS_CHECK),
        spoiled=_spoiled(standing),
        wishes={
            key: start
            for key, start in _wishes(standing).items()
            if key not in kept and (key[0], key[2]) in known
        },
        amounts_l={
            key: amount
            for key, fact in kept.items()
            if isinstance(amount := fact.entry.details.get("amount_l"), int | float)
            and fact.entry.step == key[2]
        },
    )


def recorded_itself(fact: Done, key: StepOfLoad) -> bool:
    """Say whether the step has an entry of its own, or was only passed by a later one."""
    return (fact.entry.batch, fact.entry.load, fact.entry.step) == key


def _key(entry: Entry) -> StepOfLoad:
    return (entry.batch, entry.load, entry.step)


def _done(standing: list[Entry]) -> dict[StepOfLoad, Done]:
    done: dict[StepOfLoad, Done] = {}
    for entry in standing:
        if entry.kind is EntryKind.STEP_DONE:
            done[_key(entry)] = Done(_started(entry), entry.at, False, entry)
        elif entry.kind is EntryKind.STEP_SKIPPED:
            done[_key(entry)] = Done(entry.at, entry.at, True, entry)
        elif entry.kind is EntryKind.STEP_REPEAT:
            done.pop(_key(entry), None)
    return done


def _started(entry: Entry) -> dt.datetime:
    started = entry.details.get("started")
    if not isinstance(started, str):
        return entry.at
    return dt.datetime.fromisoformat(started)


def _skip_what_was_passed(
    done: dict[StepOfLoad, Done], project: Project, loads: dict[str, int]
) -> None:
    for batch in project.batches:
        apart, joined = cut_at_joining(batch.steps)
        seen = {load for name, load, _ in done if name == batch.name}
        later = _pass_over(done, batch.name, 1, joined, None)
        if later is not None:  # what is done to the whole batch passes over every load
            seen |= set(range(1, loads.get(batch.name, 1) + 1))
        for load in seen:
            _pass_over(done, batch.name, load, apart, later)


def _pass_over(
    done: dict[StepOfLoad, Done],
    batch: str,
    load: int,
    steps: tuple[Step, ...],
    later: Done | None,
) -> Done | None:
    """Mark what comes before a done step; return the first step that was recorded."""
    for step in reversed(steps):
        key = (batch, load, step.key)
        if key in done:
            later = done[key]
        elif later is not None:
            done[key] = Done(later.started, later.started, True, later.entry)
    return later


def _loads(standing: list[Entry], batches: set[str]) -> dict[str, int]:
    loads: dict[str, int] = {}
    for entry in standing:
        fixes = entry.kind in (EntryKind.STEP_DONE, EntryKind.STEP_SKIPPED) and entry.loads > 0
        if fixes and entry.batch in batches:
            loads.setdefault(entry.batch, entry.loads)
    return loads


def _check(entry: Entry) -> Check:
    return Check(
        batch=entry.batch,
        load=entry.load,
        step=entry.step,
        at=entry.at,
        stage=Stage(str(entry.details["stage"])),
        reached=bool(entry.details["reached"]),
    )


def _spoiled(standing: list[Entry]) -> dict[str, int]:
    spoiled: Counter[str] = Counter()
    for entry in standing:
        quantity = entry.details.get("quantity")
        if entry.kind is EntryKind.PARTS_SPOILED and isinstance(quantity, int):
            spoiled[str(entry.details["part"])] += quantity
    return dict(spoiled)


def _wishes(standing: list[Entry]) -> dict[StepOfLoad, dt.datetime]:
    wishes: dict[StepOfLoad, dt.datetime] = {}
    for entry in standing:
        if entry.kind is not EntryKind.WISH:
            continue
        start = entry.details.get("start")
        if isinstance(start, str):
            wishes[_key(entry)] = dt.datetime.fromisoformat(start)
        else:
            wishes.pop(_key(entry), None)
    return wishes
